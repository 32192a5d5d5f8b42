"""How the print folder is: what waits, is being made, is held and is finished, and the ways to show that.

In: the folders and the journal, of which nothing is changed. Out: `model.Overview`, and from it the status page in the
outbox, tables for a terminal, plain lines for a pipe and JSON for machines.
"""
