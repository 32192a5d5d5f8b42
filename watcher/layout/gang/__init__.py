"""Gang runs as arithmetic: how many places each order gets on which sheets, and whose place is which.

In: quantities and slots. Out: the fewest sheets, with the gap to the best that is possible where it is not proven.
"""
