"""From a dropped file to what it says: its name taken apart, its inside looked at, and what that offers.

In: what `inbox` found rested. Out: `names.NameParts`, `look.Inside`, `unpack.Found`. May import `terms`,
`units`, `errors`, `settings`, `records` and `inbox`. `look` opens files from anywhere, so it runs in a worker process.
"""
