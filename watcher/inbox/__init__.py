"""The inbox: what lies there, what has rested, when to look again.

In: the inbox folder. Out: `scan.Scan` (everything that lies there, nothing opened), `settle.Rested` (what is finished
and may be taken) and, from `watch.InboxWatch`, hints to look sooner. The rescan is the truth; events are hints only.
May import `terms`, `units`, `errors`, `settings` and `records`. Nothing here changes a file.
"""
