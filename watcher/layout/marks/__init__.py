"""Marks on the sheet: crop marks, scores, register crosses, and room for the small print.

In: a layout. Out: lines and boxes in millimetres.
"""
