"""The size of a WebP picture, from its first chunk."""

import pytest

from watcher.art.formats.webp import read_head


@pytest.mark.parametrize("options", [{"quality": 80}, {"lossless": True}, {"quality": 80, "exif": b"Exif\0\0MM\0*"}])
def test_each_kind_of_first_chunk_gives_the_size(picture, saved, options):
    head = read_head(saved(picture(123, 45), "WEBP", **options))
    assert (head.width_px, head.height_px, head.bits) == (123, 45, 8)


@pytest.mark.parametrize("data", [b"", b"RIFF\0\0\0\0WEBPVP8 ", b"RIFF\0\0\0\0WEBPANIM" + bytes(30)])
def test_a_first_chunk_without_a_size_is_refused(data):
    with pytest.raises(ValueError, match=r"cut short|no size"):
        read_head(data)
