"""Faults that are not always the carburettor: what to check first."""
