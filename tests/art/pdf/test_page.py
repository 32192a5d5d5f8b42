import io
from fractions import Fraction

import pikepdf
import pytest
from pypdf import PdfWriter

from watcher.art.pdf.draws import MOST_DRAWN
from watcher.layout.geometry import Box, Size
from watcher.terms import Level, Turn


def mm(points) -> Fraction:
    return Fraction(points) * Fraction("25.4") / 72


def test_a_page_keeps_its_size_in_mm(pdf_of, opened):
    art = opened(pdf_of(360, 504), "pdf")
    assert art.extent == Size(Fraction(127), Fraction("177.8"))
    assert (art.width_px, art.height_px) == (None, None)


@pytest.mark.parametrize(
    ("rotate", "turn"), [(0, Turn.NONE), (90, Turn.RIGHT), (-90, Turn.LEFT), (180, Turn.HALF), (630, Turn.LEFT)]
)
def test_rotate_is_clockwise_and_turns_the_extent(pdf_of, opened, rotate, turn):
    art = opened(pdf_of(360, 504, Rotate=rotate), "pdf")
    assert art.content.turn is turn
    assert art.extent.is_landscape is turn.swaps_sides


def test_the_crop_box_is_what_is_seen_within_the_page(pdf_of, opened):
    """Corners in any order (ISO 32000-1 7.9.5), cut to the media box (14.11.2)."""
    art = opened(pdf_of(360, 504, CropBox=[400, 300, 36, 72]), "pdf")
    assert art.content.view == Box(Fraction(36), Fraction(72), Fraction(360), Fraction(300))
    assert art.extent == Size(mm(324), mm(228))


def test_a_crop_box_beside_the_page_is_refused(pdf_of, refusal):
    assert "beside the page" in refusal(pdf_of(CropBox=[1000, 1000, 1100, 1100]), "pdf")


def test_the_user_unit_counts(pdf_of, opened):
    art = opened(pdf_of(100, 200, UserUnit=2.5), "pdf")
    assert art.extent == Size(mm(250), mm(500))


@pytest.mark.parametrize("size", [(10, 500), (500, 3000)])
def test_a_page_too_small_or_too_large_is_refused(pdf_of, refusal, size):
    assert "5 to 1000 mm" in refusal(pdf_of(*size), "pdf")


def test_one_of_several_pages_is_taken_when_it_is_named(pdf_of, opened, refusal):
    data = pdf_of(pages=2)
    assert opened(data, "pdf", page=1).content.page == 1
    assert "has 2 pages where one is wanted" in refusal(data, "pdf")
    assert "has no page 3, only 2" in refusal(data, "pdf", page=2)


@pytest.fixture
def locked(pdf_of):
    """The PDF with a password to change it, and what is said on top."""

    def lock(user="", **allowed):
        finished = io.BytesIO()
        with pikepdf.open(io.BytesIO(pdf_of())) as pdf:
            rights = pikepdf.Permissions(**allowed)
            pdf.save(finished, encryption=pikepdf.Encryption(owner="owner", user=user, allow=rights))
        return finished.getvalue()

    return lock


def test_a_file_that_opens_without_a_password_and_may_be_printed_is_art(locked, opened, pdf_of):
    """ISO 32000-1 7.6.1: an owner's password alone lets anybody read; Table 22, bit 3: print."""
    art = opened(locked(), "pdf")
    assert (art.thumbnail.picture == opened(pdf_of(), "pdf").thumbnail.picture).all()
    assert art.findings == ()


def test_a_file_that_needs_a_password_or_may_not_be_printed_is_refused(locked, refusal):
    assert "cannot be opened without its password" in refusal(locked("open sesame"), "pdf")
    unprintable = locked(print_lowres=False, print_highres=False)
    assert "its author does not allow printing" in refusal(unprintable, "pdf")


def test_what_may_be_printed_at_low_quality_alone_is_printed_and_told(locked, opened):
    """Table 22, bit 12."""
    (finding,) = opened(locked(print_highres=False), "pdf").findings
    assert (finding.code, finding.level) == ("printing-restricted", Level.WARN)


def test_a_mended_file_is_told(pdf_of, opened):
    head, _, _ = pdf_of().rpartition(b"startxref")
    (finding,) = opened(head + b"startxref\n9\n%%EOF", "pdf", shown="x.pdf").findings
    assert (finding.code, finding.level) == ("pdf-mended", Level.WARN)
    assert finding.message.startswith("x.pdf is damaged: ")


@pytest.mark.parametrize("data", [b"", b"hello", b"%PDF-1.4\n", b"%PDF-1.4\n%%EOF"])
def test_what_is_no_pdf_is_refused(refusal, data):
    assert "damaged" in refusal(data, "pdf")


def test_a_pdf_cut_short_is_refused(pdf_of, refusal):
    data = pdf_of()
    assert "damaged" in refusal(data[: len(data) - 60], "pdf")


def test_a_pdf_without_pages_is_refused(refusal):
    finished = io.BytesIO()
    PdfWriter().write(finished)
    assert "has no page" in refusal(finished.getvalue(), "pdf")


def test_a_form_that_draws_itself_is_refused(refusal):
    """Measured with pdfium: 576 bytes of this took 24 GB."""
    pdf = pikepdf.new()
    page = pdf.add_blank_page(page_size=(360, 504))
    form = pdf.make_stream(b"/F#30 Do /F0 Do", Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form, BBox=[0, 0, 9, 9])
    form.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(F0=form))
    page.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(F0=form))
    page.Contents = pdf.make_stream(b"/F0 Do")
    finished = io.BytesIO()
    pdf.save(finished)
    assert "without end" in refusal(finished.getvalue(), "pdf")


def doubled(times: int) -> bytes:
    """A page whose forms each draw the next one twice."""
    pdf = pikepdf.new()
    page = pdf.add_blank_page(page_size=(360, 504))
    form = pdf.make_stream(b"0 0 1 1 re f", Subtype=pikepdf.Name.Form, BBox=[0, 0, 9, 9])
    for _ in range(times):
        inner = pikepdf.Dictionary(XObject=pikepdf.Dictionary(F=form))
        form = pdf.make_stream(b"/F Do /F Do", Subtype=pikepdf.Name.Form, BBox=[0, 0, 9, 9], Resources=inner)
    page.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(F=form))
    page.Contents = pdf.make_stream(b"/F Do")
    finished = io.BytesIO()
    pdf.save(finished)
    return finished.getvalue()


def test_forms_within_forms_are_fine_until_they_are_countless(opened, refusal):
    assert opened(doubled(5), "pdf").width_px is None
    assert MOST_DRAWN < 2**24
    assert "without end" in refusal(doubled(24), "pdf")


def test_a_page_without_a_size_is_refused_by_that(refusal, pdf_of):
    """/MediaBox is required (ISO 32000-1 Table 30); as in qpdf's own test file issue-449."""
    assert "does not say how large its page is" in refusal(pdf_of().replace(b"/MediaBox", b"/MadeUpBx"), "pdf")


def test_a_page_that_cannot_be_drawn_is_refused(refusal, pdf_of, monkeypatch):
    """One library reads it, the one that draws does not; as in qpdf's own test files bad34 and issue-99."""
    monkeypatch.setattr("watcher.art.pdf.page.page_thumbnail", lambda page: None)
    assert "cannot be drawn: it is damaged" in refusal(pdf_of(), "pdf")
