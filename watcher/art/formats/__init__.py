"""Read and write single picture formats: PNG, JPEG, TIFF, WebP; their headers, density and colour profile.

In: the bytes of a picture file. Out: its pixels, or its compressed data as it can go into a PDF.
"""
