"""The register target: measure how far the backs of a printer are off, from readings or scans.

In: readings as people type them, or two flatbed scans of a sheet. Out: the target's pages, and a saved correction.
"""
