"""The section for the person at the cutter: what stands in it, read back from a page that it is set on."""

import io
import re
from dataclasses import replace

import pypdfium2
import pytest
from reportlab.platypus import Frame

from tests.instructions.an_order import finishing, two_up
from watcher.instructions.cut_section import CutSection
from watcher.instructions.style import NumberedPages, register_fonts
from watcher.terms import CutterKind, Fold


def section(**changes):
    return CutSection(
        finishing=finishing(two_up(), **changes),
        layout=two_up(),
        sheets=26,
        has_marks=True,
        has_score_marks=False,
        large=False,
        unmarked=(),
    )


def words_of(parts):
    """The words of parts of a page, in the order in which they are set."""
    register_fonts()
    out = io.BytesIO()
    canvas = NumberedPages(out, foot="", pagesize=(560, 760))
    left = list(parts)
    Frame(10, 10, 540, 740).addFromList(left, canvas)
    assert left == []
    canvas.showPage()
    canvas.save()
    with pypdfium2.PdfDocument(out.getvalue()) as document:
        page = document[0]
        words = page.get_textpage()
        text = words.get_text_range()
        words.close()
        page.close()
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize(
    ("cutter", "edge"),
    [(CutterKind.GUILLOTINE, "at gauge"), (CutterKind.TRIMMER, "at stop"), (CutterKind.SCISSORS, "from")],
)
def test_the_table_names_the_edge_as_the_cutter_has_it(cutter, edge):
    text = words_of(section(cutter=cutter).on_its_own(520, 300, side_by_side=False))
    assert f"Cut {edge} mm inches" in text
    assert "At the cutter: Follow" in text


def test_every_cut_has_its_row():
    one = section()
    text = words_of(one.on_its_own(520, 300, side_by_side=True))
    for stroke in one.finishing.plan.strokes:
        assert re.search(rf"\b{stroke.number} {stroke.against.upper()} [0-9]", text)


def test_only_a_section_among_others_has_a_heading():
    assert words_of(section().in_one(520, 260)).startswith("Cut Front side up")
    assert words_of(section().on_its_own(520, 260, side_by_side=True)).startswith("Front side up")


def test_a_sheet_that_is_the_card_has_no_table():
    whole = section(fold=Fold.LEFT)
    whole = replace(whole, finishing=replace(whole.finishing, plan=replace(whole.finishing.plan, strokes=())))
    text = words_of(whole.on_its_own(520, 300, side_by_side=True))
    assert "inches" not in text
    assert "Fold: score" in text
