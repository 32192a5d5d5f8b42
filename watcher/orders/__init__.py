"""Orders: what belongs together, what it asks for, how long it waits; its files taken out of the inbox, or put back.

In: what inbox and intake found. Out: `model.Order` records, their files in `archive/.taking-N`. May import `terms`,
`units`, `errors`, `disk`, `settings`, `inbox`, `intake` and, to show names, `records.plain_text`.
"""
