"""From a dropped file to what it says: its name taken apart, its insides looked at, the file claimed.

In: what `inbox` found rested. Out: `names.NameParts`, `look.Inside` and the art in the archive. May import `terms`,
`units`, `errors`, `settings`, `records` and `inbox`. `look` opens files from anywhere, so it runs in a worker process.
"""
