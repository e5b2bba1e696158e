"""The printed papers: one Typst template and one small builder for each."""
