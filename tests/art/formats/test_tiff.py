"""Which page of a TIFF is meant, and why one that is whole cannot be read."""

from dataclasses import replace

import pytest

from watcher.art.formats.tiff import read_tiff_head, tiff_fault
from watcher.errors import ArtUnreadable
from watcher.inbox.tiff_pages import TiffPage

# RGB of 8 bits, packed by LZW. Source of the numbers: TIFF 6.0 section 8 (photometric 2), section 13 (compression 5).
PLAIN = TiffPage(
    index=0, width_px=4, height_px=3, bits=8, samples=3, sample_format=1, packing=5, colours=2, is_page=True,
    orientation=1,
)  # fmt: skip


@pytest.fixture
def two_pages(picture, saved):
    return saved(picture(40, 30), "TIFF", save_all=True, append_images=[picture(20, 10)])


def test_the_page_that_is_meant_is_told_by_its_number(two_pages):
    assert [read_tiff_head("x.tif", two_pages, page).width_px for page in (0, 1)] == [40, 20]


def test_several_pages_are_refused_where_one_is_meant(two_pages, picture, saved):
    with pytest.raises(ArtUnreadable, match="has 2 pages where one is wanted"):
        read_tiff_head("x.tif", two_pages, None)
    assert read_tiff_head("x.tif", saved(picture(40, 30), "TIFF"), None).height_px == 30


@pytest.mark.parametrize("page", [2, -1])
def test_a_page_that_is_not_there_is_refused(two_pages, page):
    with pytest.raises(ArtUnreadable, match=f"has no page {page + 1}, only 2"):
        read_tiff_head("x.tif", two_pages, page)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"sample_format": 3, "bits": 32}, "floating point"),
        ({"colours": 8}, "Lab colours"),
        ({"sample_format": 2}, "8 bits per colour with a sign"),
        ({"bits": 12}, "has 12 bits per colour; 1, 8 and 16 are taken"),
        ({"packing": 50000}, "number 50000"),
    ],
)
def test_what_is_odd_about_a_page_is_said(change, words):
    assert tiff_fault(PLAIN) is None
    assert words in tiff_fault(replace(PLAIN, **change))


@pytest.mark.parametrize("packing", [1, 2, 3, 4, 5, 7, 8, 32773])
def test_the_packings_of_the_standard_are_taken(packing):
    """TIFF 6.0 sections 8 to 11 (1 to 4, 32773), 13 (5: LZW); its Technical Note 2 (7: JPEG) and Photoshop's (8)."""
    assert tiff_fault(replace(PLAIN, packing=packing)) is None
