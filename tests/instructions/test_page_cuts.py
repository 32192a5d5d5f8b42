"""What the instructions say of cutting, folding and what comes after."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.instructions.an_order import FACTS, FIVE_BY_SEVEN, INCH, finishing, two_up
from tests.instructions.said import said
from watcher.layout.geometry import Box, Size
from watcher.layout.model import Face, Place
from watcher.settings.amounts import Pile
from watcher.terms import CutterKind, Edge, Fold, Marks, Turn


def test_without_marks_the_measures_guide_the_cut() -> None:
    assert "carries no marks" not in said()
    words = said(marks=Marks.NONE)
    assert "The sheet carries no marks: go by the measures." in words
    assert "pin through the corner of a card" in words


def test_a_sheet_without_room_for_any_mark_is_cut_by_the_measures_too() -> None:
    lines = tuple((stroke.is_upright, stroke.line) for stroke in FACTS.finishing.plan.strokes)
    assert "carries no marks" in said(unmarked=lines)
    assert "carries no marks" not in said(unmarked=lines[1:])


# -- the cut table -----------------------------------------------------------------------------------------------------


def test_every_cut_is_in_the_table() -> None:
    """5 x 7 in 2-up on letter: worked out by hand, 215.9 - 19.05 = 196.85 and so on; inches to 1/32."""
    words = said()
    rows = (
        "1 LEFT 196.85 7 3/4 sheet: waste off; to the mark",
        "2 RIGHT 177.8 7 sheet: waste off",
        "3 TOP 269.88 10 5/8 sheet: waste off; to the mark",
        "4 BOTTOM 260.35 10 1/4 sheet: waste off",
        "5 BOTTOM 133.35 5 1/4 sheet: card 1 done",
        "6 BOTTOM 127 5 card 2: waste off, card 2 done",
    )
    assert [row for row in rows if row not in words] == []


def test_strips_that_are_cut_together_are_named_by_their_cards() -> None:
    size = Size(Fraction(60), Fraction(80))
    boxes = [Box.at(Fraction(x), Fraction(y), size) for y in (120, 30) for x in (20, 90)]
    faces = [Face(trim=box, bleed_box=box, turn=Turn.NONE) for box in boxes]
    places = tuple(Place(number=number, front=face, back=face) for number, face in enumerate(faces, start=1))
    layout = replace(two_up(), trim=size, places=places)
    words = said(layout=layout, up=4, trim=size, finishing=finishing(layout))
    assert "sheet: cards 1, 3 come off" in words
    assert "2 pieces, cards 1\N{EN DASH}4: cards 1\N{EN DASH}2 done" in words


def test_a_first_cut_without_a_mark_says_so() -> None:
    first = FACTS.finishing.plan.strokes[0]
    words = said(unmarked=((first.is_upright, first.line),))
    assert "sheet: waste off; no mark: by measure" in words
    assert words.count("to the mark") == 1


@pytest.mark.parametrize(
    ("thickness", "pile", "sheets", "expected"),
    [("0.35", Pile(height=Fraction(40)), 25, "26 sheets, at most 114 sheets at a time: 1 pile, 6 cuts each, 6 cuts"),
     ("0.35", Pile(height=Fraction(5)), 25, "26 sheets, at most 14 sheets at a time: 2 piles, 6 cuts each, 12 cuts"),
     (None, Pile(sheets=3), 25, "26 sheets, at most 3 sheets at a time: 9 piles, 6 cuts each, 54 cuts in all"),
     (None, Pile(sheets=1), 1, "2 sheets, one sheet at a time: 2 piles, 6 cuts each, 12 cuts in all"),
     (None, Pile(height=Fraction(40)), 25, "6 cuts a pile; piles of at most 40 mm")],
)  # fmt: skip
def test_piles_and_cuts_are_counted(thickness: str | None, pile: Pile, sheets: int, expected: str) -> None:
    """Sheets a pile: its height over the thickness of a sheet, rounded down (by hand)."""
    cutting = finishing(two_up(), thickness=Fraction(thickness) if thickness else None, pile=pile)
    assert expected in said(base_sheets=sheets, finishing=cutting)


def test_scissors_go_through_one_piece_at_a_time() -> None:
    layout = two_up()
    cutting = finishing(layout, cutter=CutterKind.SCISSORS, pile=Pile(sheets=1))
    assert cutting.cuts_a_pile == sum(len(stroke.pieces) for stroke in cutting.plan.strokes)
    words = said(finishing=cutting)
    assert "one cut after the other, from mark to mark" in words
    assert "gauge" not in words


def test_a_trimmer_has_a_stop_and_no_clamp() -> None:
    words = said(finishing=finishing(two_up(), cutter=CutterKind.TRIMMER, pile=Pile(sheets=3)))
    assert "at the stop, set the measure" in words
    assert "under the rail" in words


def test_a_card_as_large_as_the_sheet_is_not_cut() -> None:
    sheet = FIVE_BY_SEVEN
    face = Face(
        trim=Box.at(Fraction(0), Fraction(0), sheet), bleed_box=Box.at(Fraction(0), Fraction(0), sheet), turn=Turn.NONE
    )
    layout = replace(two_up(sheet), places=(Place(number=1, front=face, back=face),))
    words = said(sheet=sheet, layout=layout, up=1, finishing=finishing(layout))
    assert "Nothing is cut: the card is as large as the sheet." in words


def test_the_leading_edge_is_named_where_it_is_known() -> None:
    assert "it becomes the bottom edge of the front" in said(finishing=finishing(two_up(), lead=Edge.BOTTOM))
    assert "it becomes" not in said()


# -- folds, corners, envelope ------------------------------------------------------------------------------------------


def test_a_folded_card_says_where_it_is_scored() -> None:
    """5 x 7 in opened out, folded at the left: 2.5 in from the trimmed edge."""
    half = Size(FIVE_BY_SEVEN.width / 2, FIVE_BY_SEVEN.height)
    words = said(finishing=finishing(two_up(), fold=Fold.LEFT, folded=half))
    assert "127 x 177.8 mm (5 x 7 in), then folded to 63.5 x 177.8 mm (2 1/2 x 7 in)" in words
    assert "score 63.5 mm (2 1/2 in) from the trimmed left edge (dashed marks outside the cut show where)" in words


def test_a_fold_at_the_top_is_scored_from_the_top() -> None:
    half = Size(FIVE_BY_SEVEN.width, FIVE_BY_SEVEN.height / 2)
    words = said(finishing=finishing(two_up(), fold=Fold.TOP, folded=half), marks=Marks.NONE)
    assert "score 88.9 mm (3 1/2 in) from the trimmed top edge, then fold" in words


def test_corners_and_envelope_have_a_line_each() -> None:
    a7 = Size(Fraction("5.25") * INCH, Fraction("7.25") * INCH)
    words = said(finishing=finishing(two_up(), corner=Fraction(6), envelope=a7))
    assert "Corners: round all four to a radius of 6 mm (about 1/4 in)." in words
    assert (
        "Envelope: 133.35 x 184.15 mm (5 1/4 x 7 1/4 in): the card goes in with 6.35 mm (1/4 in) and 6.35 mm" in words
    )
