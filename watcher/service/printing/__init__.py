"""Sheets go from the outbox to the printer: what people ask for by renaming is read, sent at most once, and told.

In: folders in the outbox whose name says `print` or `printed`. Out: jobs at a printer, folders named for what came of
them, printed orders in `outbox/printed`, lines in the log.
"""
