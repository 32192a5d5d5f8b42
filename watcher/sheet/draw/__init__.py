"""From a plan of the sheets to the bytes of their PDF.

In: a layout, its marks, the faces of the cards. Out: PDF bytes in which each art is stored once.
"""
