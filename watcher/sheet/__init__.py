"""The layout and the art become a PDF, and the PDF is read again.

In: a `draw.SheetPlan` (a layout, its marks, the faces of the card, how many sheets). Out: the bytes of one PDF, or of
two with manual duplex. May import `terms`, `units`, `errors`, `layout` and `art.model`. Points appear here first; the
same plan always makes the same bytes. Like the art stage it runs in a worker process.
"""
