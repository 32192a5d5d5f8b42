"""What the service writes down: the journal of orders, the two logs, its own health.

In: what the service decided and did. Out: files in `state/`, and `log.txt`; and file names made safe to show.
"""
