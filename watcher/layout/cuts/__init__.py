"""The cut plan: in which order, and from which edge, a sheet is parted.

In: a layout. Out: a `model.CutPlan`, the strokes of the knife in order.
"""
