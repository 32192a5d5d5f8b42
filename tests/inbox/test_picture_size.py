"""The number of pixels is what Pillow, which reads the same headers, says it is."""

import io

import pytest
from PIL import Image

from watcher.inbox.formats import PICTURES
from watcher.inbox.picture_size import MEASURES, pixels_in

SIZE = (37, 53)
KINDS = {
    "PNG": {},
    "JPEG": {"icc_profile": b"p" * 3000, "exif": b"Exif\0\0" + bytes(500)},
    "progressive JPEG": {"format": "JPEG", "progressive": True},
    "TIFF": {},
    "WEBP": {},
    "lossless WebP": {"format": "WEBP", "lossless": True},
    "WebP with a profile": {"format": "WEBP", "icc_profile": b"p" * 300},
}


@pytest.mark.parametrize("kind", KINDS)
def test_the_pixels_of_a_picture_are_counted_from_its_head(kind: str):
    said = {"format": kind, **KINDS[kind]}
    written = io.BytesIO()
    Image.new("RGB", SIZE, (9, 80, 200)).save(written, **said)
    assert pixels_in(written) == SIZE[0] * SIZE[1]


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7", b"\xff\xd8\xff", b"II*\0", b"RIFF\0\0\0\0WEBPVP9 " + bytes(20)])
def test_what_is_none_or_cut_short_has_no_number(data: bytes):
    assert pixels_in(io.BytesIO(data)) is None


def test_each_format_of_pictures_is_measured_for_what_it_takes_of_memory():
    assert set(MEASURES) == set(PICTURES)
