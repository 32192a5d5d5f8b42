"""What is written down on the way: the journal (for the service), the log (for people), the ticket (for machines).

May import `terms`, `units`, `errors`, `settings`, `orders` and the records of `art` and `layout`; every stage and the
service may write through it.
"""
