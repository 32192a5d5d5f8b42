"""Orders: what belongs together, what it asks for, how long it waits; its files taken out of the inbox, or put back.

In: what the inbox holds. Out: `model.Order` records, their files in `archive/.taking-N`.
"""
