"""Gang runs as arithmetic: how many places each order gets on which sheets, and which places these are.

In: the cards wanted of each order, and places on a sheet. Out: the run with the fewest sheets, and how many fewer might
be possible where it is not proven.
"""
