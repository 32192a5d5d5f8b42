"""Printers: what one says about itself, how it differs from the settings, and the jobs that are sent to it.

In: a printer's address out of the settings, and a finished sheet. Out: plain lines about the printer, and jobs on it.
Only requests go out; nothing listens.
"""
