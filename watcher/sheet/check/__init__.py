"""The read-back check: a finished sheet is read by other libraries and compared with its plan and its art.

In: the bytes of a finished PDF and what was planned. Out: nothing where it is right, else what is wrong and where; and
the pictures of the sheet.
"""
