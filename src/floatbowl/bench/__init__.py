"""The bench: what is measured on a carburettor, what a reading means, and what to make or do next."""
