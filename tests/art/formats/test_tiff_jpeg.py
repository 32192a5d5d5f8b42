"""The JPEG data inside a TIFF, put together as one JPEG file."""

import io

import pytest
from PIL import Image

from tests.art.formats.tiff_maker import CMYK, GREY, RGB, jpeg_tiff, smooth
from watcher.art.formats.jpeg import read_head
from watcher.art.formats.tiff_jpeg import joined_jpeg

# What a tile, a strip and tag 347 hold: TIFF Technical Note 2.


def joined(**how):
    mode = {GREY: "L", CMYK: "CMYK"}.get(how.get("colours"), "RGB")
    data = jpeg_tiff(smooth(83, 61, mode), **how)
    with Image.open(io.BytesIO(data)) as tiff:
        return joined_jpeg(data, dict(tiff.tag_v2))


@pytest.mark.parametrize(
    "how",
    [
        {},
        {"shared": False},
        {"rows": 16},
        {"rows": 8, "subsampling": 0},
        {"rows": 32, "shared": False},
        {"rows": 8, "colours": GREY},
        {"rows": 16, "colours": RGB},
        {"colours": CMYK},
        {"tile": (96, 64)},
        {"tile": (96, 16)},
        {"progressive": True},
        {"restart_marker_blocks": 3},
    ],
    ids=str,
)
def test_pieces_below_each_other_become_one_jpeg_of_the_whole_picture(how):
    jpeg = joined(**how)
    with Image.open(io.BytesIO(jpeg.data), formats=("JPEG",)) as picture:
        picture.load()
        assert picture.size == (83, 61)


@pytest.mark.parametrize(
    "how",
    [
        {"tile": (48, 64)},  # side by side
        {"tile": (96, 80)},  # ends a row of units later than the picture
        {"rows": 24},  # ends inside of a unit of 16 rows
        {"rows": 16, "progressive": True},  # several scans
        {"rows": 16, "restart_marker_blocks": 3},  # restarts of its own
        {"rows": 16, "shared": False, "optimize": True},  # other tables in each
    ],
    ids=str,
)
def test_what_cannot_be_joined_is_left_alone(how):
    assert joined(**how) is None


def test_rgb_is_marked_as_such_and_not_taken_for_ycbcr():
    head = read_head(joined(colours=RGB).data)
    assert (head.transform, head.jfif) == (0, False)  # Adobe Technical Note 5116
    assert read_head(joined().data).jfif


def test_a_piece_that_is_cut_short_is_no_jpeg():
    data = jpeg_tiff(smooth(83, 61), rows=16)
    with Image.open(io.BytesIO(data)) as tiff:
        tags = dict(tiff.tag_v2)
    counts = tags[279]
    assert joined_jpeg(data, tags | {279: (*counts[:2], counts[2] - 9, counts[3])}) is None
