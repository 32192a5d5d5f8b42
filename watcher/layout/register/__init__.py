"""The correction that brings backs into register: from readings to one matrix for the back page.

In: readings of marks. Out: an `alignment.Correction`, and what it does to the printable bleed.
"""
