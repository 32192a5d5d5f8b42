"""The archive as a shelf: what was made, taking one out, and forgetting what is older than the shop wants to keep.

Comes in: the archive's folders, which are plain and readable without this program. Goes out: tables, plain lines, JSON;
a folder less. May import the records, the settings and what `repeat` knows of names; no order passes through here.
"""
