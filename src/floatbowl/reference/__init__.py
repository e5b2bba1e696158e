"""What is known, with its source: the facts of a shop, and reading, writing and checking them."""
