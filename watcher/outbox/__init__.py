"""What leaves: an order's folder in the outbox, or in held with its reason. Each appears whole or not at all.

In: what the sheet stage made, or why an order cannot be made. Out: folders and pages for people. May import every
stage upstream, `disk`, `settings` and `records`.
"""
