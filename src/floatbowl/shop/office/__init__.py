"""The office as the database keeps it: offers, invoices, credit notes and payments; the shelf follows in one step."""
