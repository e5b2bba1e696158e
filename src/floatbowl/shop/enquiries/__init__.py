"""How a call ends, and what leaves the shelf with it."""
