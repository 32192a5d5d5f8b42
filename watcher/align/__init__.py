"""The conversation after which a printer's turning is known and its backs land behind their fronts.

In: answers of a person, readings, or scans of printed sheets. Out: PDFs to print, the lines that settings.toml should
have, and a correction for `alignment.toml`.
"""
