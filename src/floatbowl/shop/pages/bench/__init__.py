"""The bench: today's list, and each job step by step."""
