"""Draw the sheets as PDF from layout and art, and read the PDF again to check it.

In: a plan of the sheets (`draw.plan.SheetPlan`). Out: the bytes of one PDF, or of two with manual duplex, and what the
read-back check says of them. Points appear here first; the same plan always makes the same bytes.
"""
