import io
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pikepdf
import pypdf
import pytest

from watcher.layout.geometry import Box, Margins, Size
from watcher.sheet.draw.lettering import printable_text
from watcher.sheet.draw.sheet_pdf import draw_sheets, small_print_findings
from watcher.sheet.draw.small_print import SmallPrint, place_small_print, slug_words, turn_words
from watcher.terms import Duplex, Flip, Level, Side

LETTER = Size(Fraction("215.9"), Fraction("279.4"))
CARD = Size(Fraction(127), Fraction("177.8"))
BLEED = Fraction("3.175")


@pytest.fixture
def words():
    """The small print of 26 sheets of a two-sided order, or what is said otherwise."""

    def make(**said) -> SmallPrint:
        usual = {
            "order": "lantern-walk",
            "card": "invitation",
            "sheets": 26,
            "flip": Flip.LONG_EDGE,
            "duplex": Duplex.AUTOMATIC,
            "date": "2026-03-04",
        }
        return SmallPrint(**(usual | said))

    return make


@pytest.fixture
def plan_of(laid_out, planned, face_of, colours, words):
    """5 x 7 in two-up on letter with marks and small print (common practice, no source)."""

    def make(marks=True, **said):
        layout = laid_out(
            LETTER, CARD, bleed=BLEED, least_bleed=BLEED, gutter=2 * BLEED, unprintable=Margins.all_round(2 * BLEED)
        )
        front = face_of(colours(), CARD, bleed=BLEED)
        back = face_of(colours(seed=1), CARD, bleed=BLEED, side=Side.BACK)
        return planned(layout, front, back, marks=marks, small_print=words(**said), sheets=said.get("sheets", 26))

    return make


def test_the_line_says_all_that_the_person_at_the_printer_needs(words):
    assert slug_words(words(), Side.BACK) == (
        "lantern-walk \u00b7 invitation \u00b7 back \u00b7 print 26 sheets at actual size \u00b7 "
        "flip on the long edge \u00b7 2026-03-04"
    )


def test_one_sheet_is_one_sheet(words):
    assert "print 1 sheet at actual size" in slug_words(words(sheets=1), Side.FRONT)


@pytest.mark.parametrize(
    ("flip", "duplex", "said"),
    [
        (None, Duplex.AUTOMATIC, "one side"),
        (Flip.LONG_EDGE, Duplex.AUTOMATIC, "flip on the long edge"),
        (Flip.SHORT_EDGE, Duplex.AUTOMATIC, "flip on the short edge"),
        (Flip.LONG_EDGE, Duplex.MANUAL, "fronts first, then turn the stack: flip on the long edge"),
    ],
)
def test_the_flip_is_said_in_words(words, flip, duplex, said):
    assert turn_words(words(flip=flip, duplex=duplex)) == said


@pytest.mark.parametrize("reload", ["printed side up, top edge first", "printed side down, left edge first"])
def test_a_stack_goes_back_as_the_turn_test_found_and_nothing_else_is_said(words, reload):
    """Printed side up it is not turned at all: "turn the stack, flip on the long edge" would contradict that."""
    said = turn_words(words(duplex=Duplex.MANUAL, reload=reload))
    assert said == f"fronts first, then put the stack back in: {reload}"


def test_how_the_stack_goes_back_is_left_out_before_the_line_is(plan_of, words):
    plan = plan_of()
    long = words(duplex=Duplex.MANUAL, reload="face down, logo towards you, " * 9)
    placed = place_small_print(plan.layout, plan.marks, long)
    assert "fronts first, then the backs" in placed.lines[Side.BACK]


def test_the_number_of_the_sheet_stays_where_nothing_else_has_room(plan_of, words):
    plan = plan_of()
    crowded = words(card="c" * 200, number="sheet 3 of 5")
    placed = place_small_print(plan.layout, plan.marks, crowded)
    assert placed.lines == {side: f"sheet 3 of 5 \u00b7 {side}" for side in Side}
    assert [finding.code for finding in placed.findings] == ["slug-shortened"]


def test_without_a_number_a_line_that_has_no_room_is_left_out(plan_of, words):
    plan = plan_of()
    placed = place_small_print(plan.layout, plan.marks, words(card="c" * 200))
    assert [finding.code for finding in placed.findings] == ["slug-left-out"]


def test_both_faces_carry_their_line(plan_of):
    """Read back by pypdf, which needs the font's own table of characters for it."""
    (file,) = draw_sheets(plan_of(order="Fête d’été"))
    texts = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(file.pdf)).pages]
    for text, side in zip(texts, ("front", "back"), strict=True):
        assert f"Fête d’été · invitation · {side} · print 26 sheets at actual size" in text
        assert "100 mm" in text
        assert "4 in" in text


def test_the_font_is_embedded_as_a_subset_and_once(plan_of, pdf):
    (file,) = draw_sheets(plan_of())
    fonts = [
        found
        for found in pdf(file.pdf).objects
        if isinstance(found, pikepdf.Dictionary) and found.get("/Type") == "/Font"
    ]
    assert len(fonts) == 1
    descriptor = fonts[0].FontDescriptor
    assert "/FontFile2" in descriptor
    assert len(descriptor.FontFile2.read_bytes()) < 60_000


def test_letters_that_the_font_lacks_become_the_replacement_character(plan_of):
    """Chinese and a line break; the sheet is still drawn."""
    assert printable_text("a\u6f22b\nc\u202ed") == "a\ufffdb\ufffdc\ufffdd"
    (file,) = draw_sheets(plan_of(order="\u6f22\u5b57"))
    assert "\ufffd\ufffd" in pypdf.PdfReader(io.BytesIO(file.pdf)).pages[0].extract_text()


def test_it_lies_outside_every_bleed_inside_the_printable_part_and_off_the_marks(plan_of):
    plan = plan_of()
    placed = place_small_print(plan.layout, plan.marks, plan.small_print)
    strips = [placed.ruler.box, placed.text.box]
    assert not strips[0].overlaps(strips[1])
    for strip in strips:
        assert plan.layout.printable.contains(strip)
        assert not any(strip.overlaps(place.front.bleed_box) for place in plan.layout.places)
        for mark in plan.marks:
            x, y = sorted((mark.start.x, mark.end.x)), sorted((mark.start.y, mark.end.y))
            assert not strip.overlaps(Box(x[0], y[0], x[1], y[1]).grown(Fraction(1, 10)))


@pytest.mark.parametrize("page", [0, 1])
def test_what_is_inked_lies_within_its_strip(plan_of, render, page):
    """The same sheet with and without small print differs inside the two strips alone, on both faces."""
    plan = plan_of()
    with_print, bare = (render(draw_sheets(each)[0].pdf, page, 254) for each in (plan, _without_print(plan)))
    placed = place_small_print(plan.layout, plan.marks, plan.small_print)
    changed = (with_print != bare).any(axis=2)
    assert changed.any()
    for strip in (placed.ruler.box, placed.text.box):
        left, right = (
            (strip.left, strip.right) if page == 0 else (LETTER.width - strip.right, LETTER.width - strip.left)
        )
        top, bottom = int((LETTER.height - strip.top) * 10), int((LETTER.height - strip.bottom) * 10) + 1
        assert changed[top:bottom, int(left * 10) : int(right * 10) + 1].any()
        changed[top:bottom, int(left * 10) : int(right * 10) + 1] = False
    assert not changed.any()


def _without_print(plan):
    return replace(plan, small_print=None)


def test_the_ruler_measures_a_hundred_millimetres_and_four_inches(plan_of, render):
    """Ticks found in the rendering at 508 ppi, 20 px a mm: the longest of either scale stand 10 mm, or 1 in, apart."""
    plan = plan_of()
    strip = place_small_print(plan.layout, plan.marks, plan.small_print).ruler
    page = render(draw_sheets(plan)[0].pdf, 0, 508)
    box = strip.box
    part = page[
        int((LETTER.height - box.top) * 20) : int((LETTER.height - box.bottom) * 20),
        int(box.left * 20) : int(box.right * 20),
    ].max(axis=2)
    part = np.rot90(part, -1) if strip.turn else part
    middle = part.shape[0] // 2
    for row, step, count in ((middle - 34, 10.0, 11), (middle + 34, 25.4, 5)):  # 1.7 mm off the line: long ticks only
        dark = np.flatnonzero(part[row, : int(104.7 * 20)] < 128)
        starts = dark[np.concatenate([[True], np.diff(dark) > 3])]
        assert len(starts) == count
        assert np.abs(np.diff(starts) / 20 - step).max() <= 0.1


def test_a_long_name_is_shortened_before_the_letters_shrink(plan_of):
    plan = plan_of(order="the long winded order of the society of the friends of very long names " * 4)
    placed = place_small_print(plan.layout, plan.marks, plan.small_print)
    assert placed.type_pt == Fraction("6.5")
    assert "\u2026" in placed.lines[Side.FRONT]
    assert placed.findings == ()


def test_letters_shrink_where_shortening_is_not_enough(laid_out, words):
    """A rim of 110 mm of free length: at 6.5 pt the shortest line is longer."""
    sheet, trim = Size(Fraction(120), Fraction(118)), Size(Fraction(60), Fraction(40))
    layout = laid_out(sheet, trim, gutter=Fraction(6))
    placed = place_small_print(layout, (), words(order="x" * 60, card="card"))
    assert placed.text is not None
    assert Fraction(5) <= placed.type_pt < Fraction("6.5")


def test_what_finds_no_room_is_left_out_and_said(laid_out, planned, face_of, colours, words):
    sheet, trim = Size(Fraction(60), Fraction(90)), Size(Fraction(40), Fraction(70))
    layout = laid_out(sheet, trim)
    face = face_of(colours(), trim, bleed=Fraction(3))
    plan = planned(layout, face, face, small_print=words(), sheets=26)
    found = small_print_findings(plan)
    assert [(finding.code, finding.level) for finding in found] == [
        ("ruler-left-out", Level.NOTE),
        ("slug-left-out", Level.NOTE),
    ]
    (file,) = draw_sheets(plan)
    assert pypdf.PdfReader(io.BytesIO(file.pdf)).pages[0].extract_text() == ""


def test_a_sheet_without_small_print_says_nothing_of_it(plan_of):
    assert small_print_findings(_without_print(plan_of())) == ()
