"""PDF as art: its pages, boxes and contents, and a small picture of a page.

In: a PDF from anywhere. Out: a page as vector art, and what it uses.
"""
