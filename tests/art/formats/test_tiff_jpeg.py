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


@pytest.mark.parametrize(
    ("how", "seams", "is_cut", "colours"),
    [
        ({}, (), False, 3),
        ({"rows": 16}, (16, 32, 48), False, 3),
        ({"rows": 32, "colours": GREY}, (32,), False, 1),
        ({"colours": CMYK}, (), False, 4),
        ({"tile": (96, 64)}, (), True, 3),
        ({"tile": (96, 16)}, (16, 32, 48), True, 3),
    ],
    ids=str,
)
def test_the_rows_at_which_pieces_meet_are_told(how, seams, is_cut, colours):
    """61 rows in strips or tiles of so many; a tile of 96 px ends beyond the 83 of the picture."""
    jpeg = joined(**how)
    assert (jpeg.width_px, jpeg.height_px, jpeg.colours) == (83, 61, colours)
    assert (jpeg.seams_px, jpeg.is_cut) == (seams, is_cut)


@pytest.mark.parametrize(
    "changes",
    [
        {262: 3},  # a palette
        {277: 4},  # another number of colours than these are
        {284: 2},  # each colour by itself
        {258: (16, 16, 16)},
        {256: 90},  # another width than the pieces have
        {257: 90},
        {278: 0},
        {273: (8, 8)},  # more places than lengths
    ],
    ids=str,
)
def test_tags_that_do_not_go_with_the_data_are_left_alone(changes):
    """The tags by number: TIFF 6.0 section 8."""
    data = jpeg_tiff(smooth(83, 61))
    with Image.open(io.BytesIO(data)) as tiff:
        tags = dict(tiff.tag_v2)
    assert joined_jpeg(data, tags) is not None
    assert joined_jpeg(data, tags | changes) is None
