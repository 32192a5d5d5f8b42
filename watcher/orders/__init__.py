"""Orders: what belongs together, what it asks for, how long it waits.

In: what intake found in the inbox. Out: `model.Order` records. May import `terms`, `units`, `errors`, `settings` and
`intake`.
"""
