"""An incremental update behind a finished sheet, read by qpdf."""

import io
from fractions import Fraction

import pikepdf
import pytest

from watcher.layout.geometry import Size
from watcher.sheet.check.incremental_update import IncrementalUpdate, read_trailer
from watcher.sheet.draw.sheet_pdf import draw_sheets

TRIM = Size(Fraction(60), Fraction(84))


@pytest.fixture
def sheet_pdf(one_place, planned, face_of, colours):
    return draw_sheets(planned(one_place(TRIM), face_of(colours(), TRIM)))[0].pdf


def test_an_update_changes_what_it_names_and_nothing_else(sheet_pdf):
    """As qpdf reads it (ISO 32000-1 7.5.6)."""
    trailer = read_trailer(sheet_pdf)
    mark = b"<</Type /XObject /Subtype /Form /BBox [0 0 1 1] /Length 0>>\nstream\n\nendstream"
    with pikepdf.open(io.BytesIO(sheet_pdf)) as before:
        picture = next(one for one in before.objects if isinstance(one, pikepdf.Stream) and "/Width" in one)
        number = picture.objgen[0]
        updated = IncrementalUpdate(sheet_pdf, {number: mark, trailer.size: b"(more)"})
        with pikepdf.open(updated) as after:
            assert not after.check_pdf_syntax()
            assert len(after.objects) == len(before.objects) + 1
            assert str(after.get_object(trailer.size, 0)) == "more"
            assert after.get_object(number, 0).Subtype == "/Form"
            others = [one for one in before.objects if isinstance(one, pikepdf.Stream) and one.objgen[0] != number]
            assert all(one.read_raw_bytes() == after.get_object(*one.objgen).read_raw_bytes() for one in others)


@pytest.mark.parametrize("piece", [1, 7, 4096])
def test_an_updated_file_reads_as_its_bytes_one_after_the_other(sheet_pdf, piece):
    pdf = sheet_pdf[-9000:]
    updated = IncrementalUpdate(pdf, {99: b"[]", 100: b"(more)"})
    whole = updated.read()
    assert whole.startswith(pdf)
    assert b"99 0 obj\n[]\nendobj\n100 0 obj\n(more)\nendobj\n" in whole[len(pdf) :]
    start = len(pdf) - 20
    updated.seek(start)
    pieces = iter(lambda: updated.read(piece), b"")
    assert b"".join(pieces) == whole[start:]


def test_a_file_without_a_plain_trailer_is_refused():
    with pytest.raises(ValueError, match="no plain trailer"):
        read_trailer(b"%PDF-1.6\n%%EOF\n")
