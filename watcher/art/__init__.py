"""A side's art: opened safely, checked, made ready to place.

In: an order's files and the card it is for. Out: `model.Art` with its findings and its `model.Fit` on the card.
Everything here runs in a worker process, never in the service itself: these are files from anywhere.
"""
