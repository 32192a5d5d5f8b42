"""Settings: the shop owner's files as frozen, typed records.

In: `settings.toml`, and `alignment.toml` beside it. Out: a `model.Settings`, or `SettingsRefused` with every fault of
the file at once; an `alignment_file.Alignment` for each printer and sheet.
"""
