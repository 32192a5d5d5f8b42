"""The end of a TIFF, of files written here byte by byte. Source: TIFF Revision 6.0, sections 2 and 3."""

import io
import struct

import pytest

from watcher.inbox.tiff_ends import tiff_ends

# Tags and types of TIFF 6.0: compression (1 none, 5 LZW), offsets and byte counts of strips; 3 is 16 bits, 4 is 32.
COMPRESSION, OFFSETS, COUNTS = 259, 273, 279
NONE, LZW = 1, 5
SHORT, LONG = 3, 4


def tiff(pixels: bytes, *, order: str = "<", compression: int = LZW, claimed: int | None = None, after: int = 0):
    """Header, pixels in one strip (of `claimed` bytes), and the directory at the end."""
    at = 8 + len(pixels)
    head = (b"II" if order == "<" else b"MM") + struct.pack(f"{order}HI", 42, at)
    entries = [
        struct.pack(f"{order}HHIHH", COMPRESSION, SHORT, 1, compression, 0),
        struct.pack(f"{order}HHII", OFFSETS, LONG, 1, 8),
        struct.pack(f"{order}HHII", COUNTS, LONG, 1, len(pixels) if claimed is None else claimed),
    ]
    directory = struct.pack(f"{order}H", len(entries)) + b"".join(entries) + struct.pack(f"{order}I", after)
    return head + pixels + directory


def ends(data: bytes) -> bool:
    return tiff_ends(io.BytesIO(data), len(data))


@pytest.mark.parametrize("order", ["<", ">"])
def test_a_page_whose_directory_and_pixels_are_there_is_whole_in_either_order_of_bytes(order):
    data = tiff(b"pixels", order=order)
    assert ends(data)
    assert not ends(data[:-1])


def test_pixels_that_reach_beyond_the_file_are_not_there():
    whole = len(tiff(b"pixels"))
    assert ends(tiff(b"pixels", claimed=whole - 8))
    assert not ends(tiff(b"pixels", claimed=whole - 7))


def test_a_second_page_that_lies_beyond_the_file_is_not_there():
    assert not ends(tiff(b"pixels", after=5000))


def test_zeros_at_the_end_of_the_pixels_are_art_only_where_nothing_is_compressed():
    laid_out = b"\x55" * 100 + bytes(600)
    assert not ends(tiff(laid_out, compression=LZW))
    assert ends(tiff(laid_out, compression=NONE))
    assert ends(tiff(b"\x55" * 100 + bytes(500), compression=LZW))  # the last 512 bytes are looked at


def test_a_directory_without_entries_or_before_the_start_is_none():
    assert not ends(b"II*\0" + struct.pack("<I", 8) + bytes(6))
    assert not ends(b"II*\0" + bytes(20))
