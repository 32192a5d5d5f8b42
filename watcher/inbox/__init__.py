"""The inbox: what lies there, what has rested, what is whole, and what a file's name and inside say.

In: the inbox folder. Out: `scan.Scan`, `settle.Rested`, `name_parts.NameParts`, `inside.Inside`, `found.Found`, and
from `watch.InboxWatch` hints to look sooner. The rescan is the truth; events are hints only.
Nothing here changes a file.
"""
