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
        unmarked=(),
    )


def beside(one):
    register_fonts()
    return words_of([one.drawn_first(520, (200, 300), large=True)])


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
    assert f"Cut {edge} mm inches" in beside(section(cutter=cutter))


@pytest.mark.parametrize("way", ["beside", "below"])
def test_every_cut_has_its_row_beside_the_drawing_or_below_it(way):
    register_fonts()
    one = section()
    text = beside(one) if way == "beside" else words_of(one.one_below_the_other(520, 300))
    for stroke in one.finishing.plan.strokes:
        assert re.search(rf"\b{stroke.number} {stroke.against.upper()} [0-9]", text)


def test_a_card_in_inches_has_these_in_the_first_column():
    assert "1 LEFT 7 3/4 196.85" in beside(section(inches_first=True))
    assert "1 LEFT 196.85 7 3/4" in beside(section())


def test_a_sheet_without_any_mark_is_never_cut_to_one():
    text = beside(replace(section(), has_marks=False))
    assert "to the mark" not in text
    assert "no mark: by measure" in text


def test_the_cautions_stand_in_a_box():
    register_fonts()
    assert words_of([section().cautions(520)]).startswith("At the guillotine: Follow the cutter's own manual.")


def test_a_sheet_that_is_the_card_has_no_table():
    whole = section(fold=Fold.LEFT)
    whole = replace(whole, finishing=replace(whole.finishing, plan=replace(whole.finishing.plan, strokes=())))
    text = beside(whole)
    assert "inches" not in text
    assert "Fold: score" in text
