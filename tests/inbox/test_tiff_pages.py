"""Pages of a TIFF by its directories. Source: TIFF 6.0, sections 2 and 8."""

import io

import pytest
from PIL import Image

from watcher.inbox.inspection import inspect_file
from watcher.inbox.tiff_pages import tiff_pages


def pages_of(*pictures, **options) -> bytes:
    finished = io.BytesIO()
    pictures[0].save(finished, "TIFF", save_all=True, append_images=pictures[1:], **options)
    return finished.getvalue()


def red(size=(30, 20)):
    return Image.new("RGB", size, "red")


def counted(data) -> list[bool]:
    return [page.is_page for page in tiff_pages(io.BytesIO(data))]


@pytest.mark.parametrize("options", [{}, {"compression": "tiff_lzw"}, {"big_tiff": True}])
def test_pages_are_counted_with_their_sizes(options):
    pages = tiff_pages(io.BytesIO(pages_of(red(), red((40, 50)), **options)))
    assert [(page.width_px, page.height_px, page.bits, page.samples) for page in pages] == [
        (30, 20, 8, 3),
        (40, 50, 8, 3),
    ]


def test_a_small_copy_of_a_page_is_no_page():
    """NewSubfileType (tag 254, a number of 32 bits) with its lowest bit set."""
    data = pages_of(red(), red((8, 8)), tiffinfo={254: 0})
    entry = b"\xfe\x00\x04\x00\x01\x00\x00\x00"
    at = data.rindex(entry) + len(entry)
    assert counted(data) == [True, True]
    assert counted(data[:at] + b"\1" + data[at + 1 :]) == [True, False]


@pytest.mark.parametrize("data", [b"", b"II*\0", b"II*\0" + bytes(4), b"II*\0\xff\xff\xff\x7f", b"PK\3\4" + bytes(20)])
def test_what_is_no_tiff_has_no_pages(data):
    with pytest.raises(ValueError, match="no"):
        tiff_pages(io.BytesIO(data))


def test_a_directory_far_beyond_the_file_ends_the_list():
    data = bytearray(pages_of(red(), big_tiff=True))
    at = int.from_bytes(data[8:16], "little")
    count = int.from_bytes(data[at : at + 8], "little")
    data[at + 8 + 20 * count : at + 16 + 20 * count] = b"\xff" * 8
    assert counted(bytes(data)) == [True]


@pytest.mark.parametrize(("pictures", "pages"), [(1, None), (2, 2), (3, 3)])
def test_looking_inside_a_tiff_tells_its_pages_when_there_are_several(tmp_path, pictures, pages):
    path = tmp_path / "menu.tif"
    path.write_bytes(pages_of(*[red()] * pictures))
    assert inspect_file(path).pages == pages


def test_a_tiff_in_a_zip_tells_them_too(make_zip):
    path = make_zip(("menu.tiff", pages_of(red(), red())), ("other_front.tif", pages_of(red())))
    assert [member.pages for member in inspect_file(path).members] == [2, None]


def test_a_file_that_only_calls_itself_a_tiff_is_left_for_the_opening(tmp_path):
    path = tmp_path / "menu.tif"
    path.write_bytes(b"hello")
    assert inspect_file(path).pages is None


@pytest.mark.parametrize(("stored", "read"), [({}, 1), ({274: 6}, 6)])
def test_the_corner_that_the_pixels_begin_at_is_the_top_left_where_nothing_is_said(stored, read):
    """Orientation is tag 274; its default is 1."""
    (page,) = tiff_pages(io.BytesIO(pages_of(red(), tiffinfo=stored)))
    assert page.orientation == read
