"""From photographs of a mark to pictures a person can read and to probabilities of each character."""
