"""What the core is measured with: an invented catalogue, a simulator of callers, a baseline, and the measuring."""
