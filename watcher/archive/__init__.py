"""The archive: the ticket of every order, written and read; finding, repeating, listing and forgetting orders.

In: what was decided about an order, and the folders of `archive/`. Out: `ORDER_ticket.toml`, `archived.Archived`, and
what a repeat comes to. The folders are plain and can be read without this program.
"""
