"""The turn test: how a printer turns a sheet, and how a stack goes back in for its second side.

In: what a person sees on printed sheets. Out: the test's pages, and the lines that settings.toml should have.
"""
