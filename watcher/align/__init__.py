"""Align a printer: find how it turns a sheet, and measure the correction that puts its backs behind their fronts.

In: answers of a person, readings, or scans of printed sheets. Out: PDFs to print, the lines that settings.toml should
have, and a correction for `alignment.toml`.
"""
