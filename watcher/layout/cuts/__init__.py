"""The cut plan: in which order, and from which edge, a sheet is parted.

In: a layout. Out: the strokes of the knife, fewest first.
"""
