"""The shelf as the database keeps it: every change a ledger line, in one transaction with what it is about."""
