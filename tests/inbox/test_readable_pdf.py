"""Locked and damaged PDFs that every reader opens. Rights: ISO 32000-1 Table 22; damage: made here, byte by byte."""

import io
import re

import pikepdf
import pypdfium2
import pytest
from pypdf import PdfWriter
from pypdf.constants import UserAccessPermissions

from watcher.inbox.inspection import inspect_file
from watcher.inbox.readable_pdf import UnusablePdf, readable_pdf

CONTENTS = b"1 0 0 rg 20 20 60 60 re f"
NO_PRINT = pikepdf.Permissions(print_lowres=False, print_highres=False)
LOW_QUALITY = pikepdf.Permissions(print_highres=False)
KINDS = {
    "table": {"object_stream_mode": pikepdf.ObjectStreamMode.disable},
    "stream": {"object_stream_mode": pikepdf.ObjectStreamMode.generate},
    "linearized": {"linearize": True},
}
LOCKS = {"RC4": {"R": 3, "aes": False, "metadata": False}, "AES-128": {"R": 4}, "AES-256": {"R": 6}}


def pdf(**options) -> bytes:
    file, finished = pikepdf.new(), io.BytesIO()
    file.add_blank_page(page_size=(187, 255)).Contents = file.make_stream(CONTENTS)
    file.save(finished, deterministic_id="encryption" not in options, **options)
    return finished.getvalue()


def locked(lock="AES-256", user="", allow=None) -> bytes:
    more = {"allow": allow} if allow else {}
    return pdf(encryption=pikepdf.Encryption(user=user, owner="owner", **LOCKS[lock], **more))


def red_at_middle(data: bytes) -> bool:
    with pypdfium2.PdfDocument(data) as document:
        return document[0].render().to_pil().getpixel((50, 205)) == (255, 0, 0)


def contents(data: bytes) -> bytes:
    with pikepdf.open(io.BytesIO(data)) as file:
        assert not file.is_encrypted
        return file.pages[0].Contents.read_bytes()


@pytest.mark.parametrize("lock", LOCKS)
def test_an_empty_password_and_the_right_to_print_are_enough(lock):
    readable = readable_pdf(locked(lock))
    assert contents(readable.data) == CONTENTS
    assert not readable.in_low_quality


@pytest.mark.parametrize("lock", LOCKS)
def test_without_the_right_to_print_it_is_refused(lock):
    with pytest.raises(UnusablePdf, match="does not allow printing"):
        readable_pdf(locked(lock, allow=NO_PRINT))


@pytest.mark.parametrize("lock", LOCKS)
def test_a_password_is_asked_for_by_nobody(lock):
    with pytest.raises(UnusablePdf, match="cannot be opened without its password"):
        readable_pdf(locked(lock, user="open sesame"))


def test_printing_at_low_quality_is_told():
    assert readable_pdf(locked(allow=LOW_QUALITY)).in_low_quality


def test_a_locked_file_gives_the_same_bytes_every_time():
    data = locked()
    one = readable_pdf(data).data
    readable_pdf.cache_clear()
    assert readable_pdf(data).data == one


@pytest.mark.parametrize("kind", KINDS)
def test_a_sound_file_is_taken_as_it_is(kind):
    data = pdf(**KINDS[kind])
    readable = readable_pdf(data)
    assert readable.data is data
    assert not readable.mended


def _end(data: bytes, end: bytes) -> bytes:
    return data.rpartition(b"startxref")[0] + end


def _broken_stream(data: bytes) -> bytes:
    at = data.find(b"stream", data.rfind(b"/XRef")) + 8
    return data[:at] + bytes(8) + data[at + 8 :]


DAMAGE = {
    "a table named inside the file where there is none": lambda data: _end(data, b"startxref\n9\n%%EOF\n"),
    "a table named behind the file": lambda data: _end(data, b"startxref\n9999999\n%%EOF\n"),
    "no table named": lambda data: _end(data, b"%%EOF\n"),
    "a broken stream": _broken_stream,
}


DAMAGED = [(kind, damage) for kind in KINDS for damage in DAMAGE if kind == "stream" or damage != "a broken stream"]


@pytest.mark.parametrize(("kind", "damage"), DAMAGED)
def test_what_other_readers_open_is_mended_and_told(kind, damage):
    readable = readable_pdf(DAMAGE[damage](pdf(**KINDS[kind])))
    assert red_at_middle(readable.data)
    assert len(readable.reader.pages) == 1
    assert readable.mended


@pytest.mark.parametrize("before", [b"", b"from: the web server\n" * 20])
@pytest.mark.parametrize("behind", [b"", bytes(600), b"sent by a web server\n" * 400])
def test_words_before_and_behind_do_no_harm(before, behind):
    assert red_at_middle(readable_pdf(before + pdf() + behind).data)


def test_entries_that_are_off_are_found_again():
    moved = re.sub(rb"(\d{10}) (\d{5}) n", lambda found: b"%010d %s n" % (int(found[1]) + 7, found[2]), pdf())
    assert red_at_middle(readable_pdf(moved).data)


@pytest.mark.parametrize("part", [0.5, 0.8, 0.95])
@pytest.mark.parametrize("kind", ["table", "stream"])
def test_of_a_file_cut_short_nobody_knows_what_is_missing(kind, part):
    data = pdf(**KINDS[kind])
    with pytest.raises(UnusablePdf, match="damaged PDF or not complete"):
        readable_pdf(data[: int(len(data) * part)])


def test_pages_of_locked_and_damaged_files_are_counted(tmp_path):
    for name, data in {"a.pdf": locked(), "b.pdf": DAMAGE["no table named"](pdf())}.items():
        (tmp_path / name).write_bytes(data)
        assert inspect_file(tmp_path / name).pages == 1


def test_the_first_handler_of_locks_knows_nothing_of_low_quality():
    """Bit 12 counts from revision 3 on (ISO 32000-1 Table 22); a lock of 40 bits is of revision 2 (7.6.3.2)."""
    found = []
    rights = ~UserAccessPermissions.PRINT_TO_REPRESENTATION
    for algorithm in ("RC4-40", "RC4-128"):
        writer, finished = PdfWriter(), io.BytesIO()
        writer.add_blank_page(187, 255)
        writer.encrypt("", "owner", permissions_flag=rights, algorithm=algorithm)
        writer.write(finished)
        found.append(readable_pdf(finished.getvalue()).in_low_quality)
    assert found == [False, True]
