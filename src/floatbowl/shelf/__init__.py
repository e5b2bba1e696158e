"""What is on the shelf: what to carry, what to build, what to buy, in numbers. No web, no database."""
