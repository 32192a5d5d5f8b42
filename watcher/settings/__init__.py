"""Settings: what the shop owner wrote, as typed values that nothing can change.

In: `settings.toml`. Out: a `model.Settings`, or `SettingsRefused` with every fault of the file at once. May import
`terms`, `units`, `errors` and `layout.geometry`; every later room may read it. The way of a file: `load` reads it,
`model` takes each table apart with the parsers of `values` and `papers`, `faults` words what was wrong, `relations`
compares what belongs together, and `starter` writes the first file of a new print folder.
"""
