"""Typefaces, paragraphs and the foot of the instructions, and what is kept to be drawn again."""

import io
import re

import pypdfium2
import pytest
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Flowable

from watcher.instructions.style import (
    BOLD,
    NO_BREAK,
    NO_GLYPH,
    SANS,
    USUAL,
    KeptPart,
    NumberedPages,
    printable,
    register_fonts,
)


@pytest.fixture(autouse=True)
def _fonts():
    register_fonts()


def new_page(foot="lantern-walk", width=300):
    return NumberedPages(io.BytesIO(), foot=foot, pagesize=(width, 200))


def texts_of(canvas):
    canvas.save()
    texts = []
    with pypdfium2.PdfDocument(canvas._filename.getvalue()) as document:
        for page in document:
            words = page.get_textpage()
            texts.append(re.sub(r"\s+", " ", words.get_text_range()))
            words.close()
            page.close()
    return texts


def test_what_is_no_letter_of_the_typeface_is_shown_as_lacking():
    assert printable(f"caf\u00e9{NO_BREAK}{USUAL}", SANS) == f"caf\u00e9{NO_BREAK}{USUAL}"
    assert printable("a\tb\U0001f98a", BOLD) == f"a{NO_GLYPH}b{NO_GLYPH}"


def test_typefaces_have_the_same_names_in_every_document():
    """What was drawn in one is said again in another, by these names."""
    for canvas in (new_page(), NumberedPages(io.BytesIO(), foot="", initialFontName="Helvetica")):
        names = [pdfmetrics.getFont(name).getSubsetInternalName(0, canvas._doc) for name in (SANS, BOLD)]
        assert names == ["/F1+0", "/F2+0"]


def test_every_page_says_which_of_how_many_it_is():
    canvas = new_page()
    for _ in range(3):
        canvas.showPage()
    assert texts_of(canvas) == [f"lantern-walk, page {number} of 3" for number in (1, 2, 3)]


def test_the_foot_is_small_whatever_was_written_last():
    canvas = new_page()
    canvas.setFont(BOLD, 30)
    canvas.showPage()
    canvas.save()
    with pypdfium2.PdfDocument(canvas._filename.getvalue()) as document:
        page = document[0]
        words = page.get_textpage()
        assert pypdfium2.raw.FPDFText_GetFontSize(words.raw, 0) == pytest.approx(8)
        words.close()
        page.close()


def test_a_foot_that_is_too_long_loses_its_middle_and_never_its_page():
    canvas = new_page(foot="begin" + "w" * 80 + "end")
    canvas.showPage()
    (text,) = texts_of(canvas)
    assert re.fullmatch(r"beginw+\.\.\.w+end, page 1 of 1", text)


def test_what_is_painted_at_last_stands_on_the_page_that_asked_for_it():
    canvas = new_page()
    canvas.at_last(lambda page: (page.setFont(SANS, 8), page.drawString(50, 100, "late")))
    canvas.showPage()
    canvas.showPage()
    assert ["late" in text for text in texts_of(canvas)] == [True, False]


def test_what_is_painted_at_last_stands_where_it_was_asked_for():
    canvas = new_page(foot="")
    canvas.saveState()
    canvas.translate(70, 90)
    canvas.at_last(lambda page: (page.setFont(SANS, 8), page.drawString(0, 0, "HHH")))
    canvas.restoreState()
    canvas.showPage()
    canvas.save()
    with pypdfium2.PdfDocument(canvas._filename.getvalue()) as document:
        page = document[0]
        words = page.get_textpage()
        at = words.get_text_range().index("HHH")
        left, bottom, *_ = words.get_charbox(at)
        words.close()
        page.close()
    assert (left, bottom) == pytest.approx((70, 90), abs=1.5)


def test_only_letters_with_the_same_code_in_every_document_are_drawn_again():
    canvas = new_page()
    canvas.setFont(SANS, 9)
    assert canvas.said(lambda: canvas.drawString(50, 100, f"word {USUAL}"))
    assert canvas.said(lambda: canvas.drawString(50, 100, "word \u0436")) is None
    assert canvas.said(lambda: canvas.drawString(50, 100, "word")) is None  # the document has a letter of its own


class Measured(Flowable):
    """A part that remembers for which widths it was measured."""

    def __init__(self):
        super().__init__()
        self.asked = []

    def wrap(self, width, height):
        self.asked.append(width)
        return width, 20


def test_a_kept_part_is_measured_once_for_each_width():
    part = Measured()
    kept = KeptPart(part)
    kept.canv = new_page()
    assert [kept.wrap(width, 99) for width in (50, 60, 50)] == [(50, 20), (60, 20), (50, 20)]
    assert part.asked == [50, 60]
