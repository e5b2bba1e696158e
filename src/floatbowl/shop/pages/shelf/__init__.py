"""The shelf: what lies where, counting, building, buying."""
