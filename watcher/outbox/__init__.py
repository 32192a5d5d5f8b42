"""Files on disk on their way out: a product being built, delivered or held, and the shop's own command.

In: the bytes of a finished order, or the reason why it cannot be made. Out: folders in outbox, archive and held, each
of which appears whole or not at all.
"""
