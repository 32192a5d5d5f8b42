"""The overview, shown: tables on a terminal, plain lines in a pipe, JSON for machines, the page in the outbox.

Comes in: `overview.Overview`. Goes out: text. May import what `overview` and `outbox` offer; nothing but the commands
and the service imports it.
"""
