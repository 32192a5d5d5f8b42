"""What is particular to a format of pictures: PNG, JPEG, TIFF, WebP; headers, density, colour profile.

In: the bytes of a picture file. Out: its pixels, or its compressed data as it can go into a PDF.
"""
