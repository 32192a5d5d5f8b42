"""What a picture may be, and what other files are."""

import pytest

from watcher.art.formats.headers import DAMAGED, foreign_kind, size_fault


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"%PDF-1.7", "a PDF"),
        (b"GIF89a", "a GIF picture"),
        (b"\0\0\0\x18ftypheic", "a HEIC picture"),
        (b"\0\0\0\x18ftypisom", "a film or phone picture"),
        (b"\0\0\0\x0cjP  \r\n\x87\n", "a JPEG 2000 picture"),
        (b"\0\0\0\x0cJXL \r\n\x87\n", "a JPEG XL picture"),
        (b"<!DOCTYPE html>", "a web page"),
        (b"hello", None),
    ],
)
def test_a_file_that_is_not_taken_is_named(data, words):
    assert foreign_kind(data) == words


def test_a_picture_that_is_too_large_is_refused_with_both_numbers():
    assert size_fault(30_001, 10) == "is 30,001 x 10 px; 30,000 px a side and 100 million pixels are the most"
    assert size_fault(20_000, 6_000) is not None
    assert size_fault(10_000, 10_000) is None


def test_a_picture_without_pixels_is_damaged():
    assert size_fault(0, 10) == DAMAGED
