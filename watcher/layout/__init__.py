"""Where each card lies on the sheet, and its back behind it: arithmetic alone.

In: sizes, margins and the flip (`model.LayoutRequest`). Out: a `model.Layout`. Nothing here knows a file, a pixel,
a PDF or a clock. All lengths are exact millimetres (`Fraction`); the origin is the lower left of the sheet as that
face is read, y goes up, turns are counter-clockwise.
"""
