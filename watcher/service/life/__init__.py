"""What is done at each event of an order's life: the functions that the table of `records.order_life` names.

In: an order or a gang run as a `cases.OrderCase` or `cases.RunCase`, and what happened to it. Out: its files moved, the
journal, the log and the shop's own command told, and the next event. `executor` looks the row up and carries it out.
"""
