"""The checks of a side's art: one list (`preflight`) of small functions with one signature.

In: opened art on its card. Out: findings, each with its numbers and the way out.
"""
