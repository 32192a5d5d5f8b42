"""The turn test: which way a printer turns a sheet, and which way a stack goes back in.

In: what a person sees on one printed sheet. Out: the test's pages, and what the settings should say.
"""
