"""Whole and cut files of every format, as the libraries that write them in earnest end them.

Formats: PNG ISO/IEC 15948, JPEG ITU-T T.81, TIFF Revision 6.0, WebP RFC 9649, PDF ISO 32000-1, ZIP PKWARE APPNOTE.
"""

import os
import struct
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.inbox.complete import Completeness, has_end_of_its_own, how_complete

STARTS = (
    b"",
    b"\x89PNG\r\n\x1a\n",
    b"\xff\xd8\xff",
    b"II*\0",
    b"MM\0*",
    b"II+\0",
    b"MM\0+\0\x08\0\0",
    b"%PDF-1.7 startxref ",
    b"RIFF\x50\0\0\0WEBPVP8L",
    b"RIFF\x50\0\0\0WEBPVP8 ",
    b"PK\x05\x06",
    b"PK\x03\x04PK\x06\x06PK\x06\x07",
)
ENDINGS = (".png", ".jpg", ".tif", ".webp", ".pdf", ".zip", ".toml", "")
WHOLE, GROWING = Completeness.WHOLE, Completeness.GROWING


def _cuts(data: bytes) -> list[int]:
    """Lengths worth trying: each of the first and last bytes, and steps through the middle."""
    size = len(data)
    steps = range(0, size, max(1, size // 60))
    return sorted({*range(min(64, size)), *steps, *range(max(0, size - 40), size)})


def test_a_finished_file_is_whole(finished, put):
    name, data = finished
    assert how_complete(put(name, data)) is WHOLE


def test_a_file_cut_anywhere_is_not_whole(finished, put):
    name, data = finished
    needed = len(data)
    if name.endswith(".pdf"):
        needed = len(data.rstrip())  # the line end behind the end mark, which nobody needs
    elif name == "two-pages.tif":
        needed -= 2  # the writer's filling up to a multiple of four
    assert [cut for cut in _cuts(data) if cut < needed and how_complete(put(name, data[:cut])) is WHOLE] == []


def test_a_file_laid_out_in_full_but_filled_with_zeros_from_half_on_is_not_whole(packed, put):
    name, data = packed
    half = len(data) // 2
    assert how_complete(put(name, data[:half] + bytes(len(data) - half))) is GROWING


@pytest.mark.parametrize("part", [0.1, 0.5, 0.9, 0.99])
@pytest.mark.parametrize("name", ["plain.jpg", "small-picture.jpg", "progressive.jpeg", "plain.png", "plain.zip"])
def test_zeros_behind_a_cut_do_not_make_it_whole(name, part, finished_file, put):
    data = finished_file(name)
    cut = int(len(data) * part)
    assert how_complete(put(name, data[:cut] + bytes(5000))) is GROWING


def test_the_end_mark_of_the_small_picture_in_a_jpeg_is_not_its_end(finished_file, put):
    data = finished_file("small-picture.jpg")
    small_end = data.index(b"\xff\xd9") + 2
    assert small_end < len(data) // 2
    assert how_complete(put("a.jpg", data[:small_end])) is GROWING


@given(start=st.sampled_from(STARTS), rest=st.binary(max_size=200), ending=st.sampled_from(ENDINGS))
def test_no_content_crashes(tmp_path_factory, start, rest, ending):
    path = tmp_path_factory.getbasetemp() / f"any{ending}"
    path.write_bytes(start + rest)
    assert how_complete(path) in Completeness


@pytest.mark.parametrize("name", ["plain.png", "plain.jpg", "plain.pdf", "plain.zip", "lossy.webp", "lzw.tif"])
def test_the_content_counts_before_the_ending_of_the_name(name, finished_file, put):
    data = finished_file(name)
    assert how_complete(put("misnamed.toml", data)) is WHOLE
    assert how_complete(put("misnamed.toml", data[: len(data) // 2])) is GROWING


@pytest.mark.parametrize("name", ["plain.png", "plain.jpg", "lossy.webp"])
def test_what_follows_the_end_of_a_picture_is_legal(name, finished_file, put):
    assert how_complete(put(name, finished_file(name) + b"appended by a phone")) is WHOLE


@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif", "a.webp", "a.pdf", "a.zip", "a.toml", "a.psd"])
def test_nothing_and_nothing_but_zeros_are_not_whole(name, put):
    assert how_complete(put(name, b"")) is GROWING
    assert how_complete(put(name, bytes(3_000_000))) is GROWING


def test_zeros_in_front_of_art_mean_that_its_start_is_still_to_come(finished_file, put):
    data = finished_file("plain.png")
    assert how_complete(put("a.png", bytes(2000) + data[2000:])) is GROWING


@pytest.mark.parametrize("name", ["letter.docx", "notes.txt", "fake.png", "fake.pdf", "fake.zip", "noending"])
def test_what_the_walk_does_not_know_is_whole_and_judged_later(name, put):
    assert how_complete(put(name, b"this is plain text")) is WHOLE


def test_a_ticket_is_whole_even_when_it_cannot_be_read(put):
    assert how_complete(put("a.toml", b"quantity = = 5")) is WHOLE
    assert how_complete(put("a.toml", b"quantity = 50\n" + bytes(100))) is GROWING


def test_a_png_whose_end_chunk_is_damaged_is_not_whole(finished_file, put):
    assert how_complete(put("a.png", finished_file("plain.png")[:-1] + b"\0")) is GROWING


def _with_end(data, end):
    head, _, tail = data.rpartition(b"startxref")
    assert tail.split()[1] == b"%%EOF"
    return head + end


@pytest.mark.parametrize(
    "end", [b"startxref\n999999\n%%EOF\n", b"startxref\n9\n%%EOF", b"startxref\n0\n%%EOF", b"%%EOF"]
)
def test_a_pdf_whose_end_names_a_wrong_table_or_none_is_whole(end, finished_file, put):
    """Readers find the objects themselves then (common practice, ISO 32000-1 Annex I leaves it to them)."""
    assert how_complete(put("a.pdf", _with_end(finished_file("plain.pdf"), end))) is WHOLE


@pytest.mark.parametrize("wrong", [b"9", b"99999999"])
def test_a_linearized_pdf_whose_last_end_names_a_wrong_table_is_whole(wrong, finished_file, put):
    end = b"startxref\n" + wrong + b"\n%%EOF\n"
    assert how_complete(put("a.pdf", _with_end(finished_file("linearized.pdf"), end))) is WHOLE


@pytest.mark.parametrize("more", [bytes(500), b" " * 5000, b"<p>sent by a web server</p>\n" * 400])
def test_what_stands_behind_the_end_of_a_pdf_and_is_no_object_does_no_harm(more, finished_file, put):
    assert how_complete(put("a.pdf", finished_file("plain.pdf") + more)) is WHOLE


@pytest.mark.parametrize("more", [b"\n4 0 obj\n<</Contents 9 0 R", b"\n4 0 obj\n" + b"x" * 5000, bytes(5000)])
def test_an_update_of_a_pdf_that_is_still_coming_is_waited_for(more, finished_file, put):
    """Else the art would be printed as it was before it was mended."""
    assert how_complete(put("a.pdf", finished_file("plain.pdf") + more)) is GROWING


def test_a_linearized_pdf_cut_behind_its_first_end_mark_is_not_whole(finished_file, put):
    data = finished_file("linearized.pdf")
    first_end = data.index(b"%%EOF") + 5
    assert first_end < len(data) - 5
    assert how_complete(put("a.pdf", data[:first_end])) is GROWING
    # Also when that mark names a table inside the file: the length that the file announces for itself tells.
    pointed = data[:first_end].replace(b"startxref\n0\n", b"startxref\n9\n")
    assert pointed != data[:first_end]
    assert how_complete(put("a.pdf", pointed)) is GROWING


@pytest.mark.parametrize(("compression", "verdict"), [(8, GROWING), (1, WHOLE)])
def test_pixels_behind_the_directory_of_a_tiff_that_are_still_zeros(compression, verdict, put):
    """Compressed pixels never end so; those that are not may be black. 8: Adobe Deflate, TIFF Technical Note 2."""
    tags = {256: 100, 257: 30, 258: 8, 259: compression, 262: 1, 273: 122, 277: 1, 278: 30, 279: 3000}
    entries = b"".join(struct.pack("<HHII", tag, 4, 1, value) for tag, value in tags.items())
    directory = b"II*\0\x08\0\0\0" + struct.pack("<H", len(tags)) + entries + bytes(4)
    assert len(directory) == 122
    assert how_complete(put("a.tif", directory + b"\x78\x9c" + bytes(2998))) is verdict
    assert how_complete(put("a.tif", directory + b"\x78\x9c" + bytes(2997))) is GROWING


def test_a_directory_of_tiff_pages_that_runs_in_a_ring_ends(put):
    ring = b"II*\0\x08\0\0\0" + b"\x01\0" + b"\0\x01\x04\0\x01\0\0\0\x10\0\0\0" + b"\x08\0\0\0"
    assert how_complete(put("a.tif", ring)) is WHOLE


def test_offsets_past_every_file_size_do_not_crash(put):
    big = b"II+\0\x08\0\0\0" + b"\xff" * 8
    assert how_complete(put("a.tif", big)) is GROWING


def test_a_pipe_is_never_waited_for(tmp_path):
    os.mkfifo(tmp_path / "a.png")
    with pytest.raises(OSError, match="not an ordinary file"):
        how_complete(tmp_path / "a.png")


def test_a_link_is_not_followed(put, finished_file, tmp_path):
    put("outside.png", finished_file("plain.png"))
    (tmp_path / "a.png").symlink_to(tmp_path / "outside.png")
    with pytest.raises(OSError, match="a.png"):
        how_complete(tmp_path / "a.png")


def test_a_long_file_is_not_read_into_memory(put, finished_file, tmp_path):
    """A PNG chunk of 300 MB is stepped over, not read: the file is sparse and the walk takes no time."""
    data = finished_file("plain.png")
    path = put("a.png", data[:33] + (300_000_000).to_bytes(4, "big") + b"IDAT")
    with path.open("r+b") as file:
        file.seek(33 + 8 + 300_000_000 + 4)
        file.write(data[-12:])
    began = time.perf_counter()
    assert how_complete(path) is WHOLE
    assert time.perf_counter() - began < 0.5


@pytest.mark.parametrize(
    ("text", "has_end"),
    [(b"quantity = 5\n# end\n", True), (b"# end\n", True), (b"quantity = 5\n", False), (b"# end", False), (b"", False)],
)
def test_a_ticket_has_an_end_when_its_last_line_says_so(text, has_end, put):
    assert has_end_of_its_own(put("again.toml", text)) == has_end


def test_a_ticket_that_is_gone_has_no_end(tmp_path):
    assert not has_end_of_its_own(tmp_path / "again.toml")
