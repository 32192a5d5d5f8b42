"""Score marks on the sheet: dashed, with a word that reads right on both faces; and the weight of all marks."""

import io
import re
from dataclasses import replace
from fractions import Fraction

import pikepdf
import pypdfium2
import pytest

from watcher.layout.geometry import Size
from watcher.layout.marks.sheet_marks import plan_sheet_marks
from watcher.sheet.check.in_numbers import read_back
from watcher.sheet.draw.score_word import SCORE_WORD, score_word_size
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Fold, Marks, Side

SHEET, SPREAD = Size(Fraction(230), Fraction(320)), Size(Fraction(160), Fraction(100))


@pytest.fixture
def folded(laid_out, planned, face_of, colours):
    """The file of two-sided spreads of 160 x 100 mm, folded at the left."""

    def make(**said):
        layout = laid_out(SHEET, SPREAD, mixed_turns=False)
        front = face_of(colours(160, 100), SPREAD, bleed=Fraction(3))
        back = face_of(colours(160, 100, 1), SPREAD, bleed=Fraction(3), side=Side.BACK)
        found = plan_sheet_marks(layout, marks=Marks.CROP, fold=Fold.LEFT, crosses=True, word=score_word_size())
        plan = replace(planned(layout, front, back, score_labels=found.labels, **said), marks=found.marks)
        files = draw_sheets(plan)
        read_back(files, plan)
        return files[0].pdf, found

    return make


def _operators(pdf, page):
    with pikepdf.open(io.BytesIO(pdf)) as document:
        return pikepdf.unparse_content_stream(pikepdf.parse_content_stream(document.pages[page])).decode("ascii")


@pytest.mark.parametrize("page", [0, 1])
def test_score_marks_are_dashed_and_cutting_marks_are_not(folded, page):
    pdf, found = folded()
    before, after = re.split(r"\[ ?2 1\.5 ?\] 0 d", _operators(pdf, page))
    dashed = sum(mark.dashed for mark in found.marks)
    assert dashed > 0
    assert after.split("S")[0].count(" l") == dashed
    # every mark once in white, every solid one once in black
    assert before.count(" l\n") == len(found.marks) + len(found.marks) - dashed


@pytest.mark.parametrize("page", [0, 1])
def test_the_word_reads_right_on_both_faces(folded, page):
    pdf, found = folded()
    document = pypdfium2.PdfDocument(pdf)
    shown = document[page]
    text = shown.get_textpage()
    words = text.get_text_range().split()
    text.close()
    shown.close()
    document.close()
    assert words.count(SCORE_WORD) == len(found.labels) > 0


@pytest.mark.parametrize(("weight", "halo"), [(Fraction(1, 4), "0.75"), (Fraction(1, 2), "1")])
def test_marks_are_as_thick_as_asked(folded, weight, halo):
    """A quarter and a half point on white that is half a point wider."""
    pdf, _ = folded(mark_weight=weight * Fraction("25.4") / 72)
    operators = _operators(pdf, 0)
    assert f"0 G\n{float(weight)} w" in operators
    assert f"1 G\n{halo} w" in operators


def test_the_word_is_small():
    length, height = score_word_size()
    assert 3 < length < 6
    assert 1 < height < 3
