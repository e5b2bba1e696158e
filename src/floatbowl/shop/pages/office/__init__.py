"""The office's pages: offers, invoices, credit notes, payments, and the shop's own rules."""
