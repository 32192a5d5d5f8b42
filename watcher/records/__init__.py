"""What is written down on the way: the journal for the service, the logs, how the service is.

In: what the service decided and did. Out: files in `state`, `log.txt`; and names from outside made safe to show.
"""
