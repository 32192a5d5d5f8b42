"""The shop floor: taken orders on their way from the line through the workers to a finished or held folder.

In: taken orders, and files whose inside is to be looked at. Out: folders in outbox, archive and held, or files back in
the inbox, with the journal told of each step. It may import what the service shares (shop, pauses, trouble, workers),
the line, what a worker is told, runs and repeats, the records and the outer stages; never art, layout or sheet, which
a worker alone sees. `making` alone puts its parts together.
"""
