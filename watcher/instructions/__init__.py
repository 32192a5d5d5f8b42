"""The pages and pictures for people: how to print, turn, check and cut an order, and what it will look like.

In: the records of an order that is being made. Out: the bytes of a PDF page, of the preview and of the card's picture.
"""
