"""What is written down on the way: the journal (for the service), the log (for people), the ticket (for machines).

In: what the stages decided and did. Out: files in `state`, `log.txt`, the bytes of a ticket. May import `terms`,
`units`, `errors`, `disk`, `settings`, `inbox.file_names`, and of `orders`, `art` and `layout` the records alone; every
stage and the service may write through it.
"""
