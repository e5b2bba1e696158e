"""Money in exact decimals: amounts, tax, and the papers that carry them."""
