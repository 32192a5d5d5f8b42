"""The words of the cut table and of what follows it."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.instructions.an_order import INCH, finishing, two_up
from watcher.instructions.cut_words import NO_MARK, after_cutting, cards_named, cut_rows, how_to_cut, piles_line
from watcher.layout.geometry import Box, Size
from watcher.layout.model import CutPiece, Stroke
from watcher.settings.amounts import Pile
from watcher.terms import CutterKind, Edge, Fold

NB = "\N{NO-BREAK SPACE}"


def test_cards_are_named_in_runs():
    named = [cards_named(cards) for cards in ([7], [4, 1, 3, 2, 9], [1, 2])]
    assert named == [f"card{NB}7", f"cards{NB}1\u20134, 9", f"cards{NB}1\u20132"]


def test_each_stroke_is_a_row_with_its_measure_in_both_units():
    plan = finishing(two_up()).plan
    rows = cut_rows(finishing(two_up()), 2, ())
    assert [row.number for row in rows] == [str(stroke.number) for stroke in plan.strokes]
    assert [(row.mm, row.inches) for row in rows if row.mm == "177.8"] == [("177.8", "7")]
    assert rows[0].what.startswith("sheet: ")
    assert sum("done" in row.what for row in rows) >= 1


def test_a_cut_by_the_mark_says_so_unless_there_is_none():
    first = finishing(two_up()).plan.strokes[0]
    with_mark, without = (
        cut_rows(finishing(two_up()), 2, unmarked)[0].what for unmarked in ((), [(first.is_upright, first.line)])
    )
    assert with_mark.endswith("<b>to the mark</b>")
    assert without.endswith(NO_MARK)


def test_piles_are_counted_where_the_thickness_is_known():
    """0.4 mm in piles of 4 mm: 10 sheets at a time, so 25 sheets are 3 piles."""
    thick = finishing(two_up(), pile=Pile(height=Fraction(4)), thickness=Fraction("0.4"))
    cuts = len(thick.plan.strokes)
    assert piles_line(thick, 25) == (
        f"<b>25 sheets, at most 10 sheets at a time: 3 piles, {cuts} cuts each, {3 * cuts} cuts in all.</b>"
    )
    assert piles_line(finishing(two_up()), 25).startswith(f"<b>{cuts} cuts a pile</b>; piles of at most 40 mm")


def test_what_is_done_to_the_cut_cards_is_said_in_its_order():
    done = finishing(
        two_up(),
        fold=Fold.TOP,
        folded=Size(5 * INCH, Fraction("3.5") * INCH),
        corner=Fraction("6.35"),
        envelope=Size(5 * INCH, Fraction("3.25") * INCH),
    )
    fold, corners, envelope = after_cutting(done)
    assert (fold[0], corners[0], envelope[0]) == ("Fold", "Corners", "Envelope")
    assert fold[1].startswith("score <b>88.9 mm (3 1/2 in) from the trimmed top edge</b>, then")
    assert envelope[1].endswith("<b>the card is too large for it</b>")
    assert list(after_cutting(finishing(two_up()))) == []


@pytest.mark.parametrize(
    ("cutter", "words"),
    [(CutterKind.GUILLOTINE, "under the clamp"), (CutterKind.TRIMMER, "under the rail"),
     (CutterKind.SCISSORS, "from mark to mark")],
)  # fmt: skip
def test_the_way_to_cut_is_that_of_the_cutter(cutter, words):
    assert words in how_to_cut(finishing(two_up(), cutter=cutter), has_marks=True)
    assert "carries no marks" in how_to_cut(finishing(two_up(), cutter=cutter), has_marks=False)
    whole = finishing(two_up())
    assert how_to_cut(replace(whole, plan=replace(whole.plan, strokes=())), has_marks=True).startswith("Nothing is cut")


def _piece(name, *cards):
    return CutPiece(name=name, box=Box(*map(Fraction, (0, 0, 9, 9))), cards=cards)


@pytest.mark.parametrize(
    ("gives", "what"),
    [
        ([("sheet", (1, 2, 3, 4), None)], "sheet: waste off"),
        ([("sheet", (1, 2, 3, 4), ("B", (3, 4)))], f"sheet: cards{NB}3\u20134 come off"),
        ([("A", (1, 2), ("card 2", (2,)))], f"cards{NB}1\u20132: card{NB}2 done"),
        (
            [("A", (1, 2), ("card 2", (2,))), ("B", (3, 4), ("card 4", (4,)))],
            f"2 pieces, cards{NB}1\u20134: cards{NB}2, 4 done",
        ),
        (
            [("A", (1, 2), ("card 2", (2,))), ("B", (3, 4, 5), ("C", (4, 5)))],
            f"2 pieces, cards{NB}1\u20135: cards{NB}2, 4\u20135 come off, card{NB}2 done",
        ),
    ],
)
def test_a_stroke_tells_what_it_cuts_and_what_that_gives(gives, what):
    """By hand: four cards on a sheet, pieces by name; what is called a card is finished."""
    stroke = Stroke(
        number=3,
        against=Edge.TOP,
        gauge=Fraction("88.9"),
        line=Fraction(10),
        pieces=tuple(_piece(name, *cards) for name, cards, _ in gives),
        gives=tuple((_piece("rest"), off and _piece(off[0], *off[1])) for _, _, off in gives),
        to_the_mark=False,
    )
    (row,) = cut_rows(replace(finishing(two_up()), plan=replace(finishing(two_up()).plan, strokes=(stroke,))), 4, ())
    assert (row.number, row.edge, row.mm, row.inches, row.what) == ("3", "TOP", "88.9", f"3{NB}1/2", what)


def test_a_measure_between_two_lines_of_the_ruler_is_about():
    """80 mm are 3.1496 in, nearest 3 5/32 (3.156)."""
    first = finishing(two_up()).plan.strokes[0]
    plan = replace(finishing(two_up()).plan, strokes=(replace(first, gauge=Fraction(80)),))
    (row,) = cut_rows(replace(finishing(two_up()), plan=plan), 2, ())
    assert row.inches == f"\u2248{NB}3{NB}5/32"


def test_a_pile_of_one_sheet_is_one_sheet_at_a_time():
    single = finishing(two_up(), pile=Pile(sheets=1))
    assert "25 sheets, one sheet at a time: 25 piles, " in piles_line(single, 25)


def test_a_sheet_that_is_not_cut_has_no_piles():
    whole = finishing(two_up())
    assert piles_line(replace(whole, plan=replace(whole.plan, strokes=())), 25) == ""


def test_a_fold_tells_its_score_marks_where_there_are_any():
    done = finishing(two_up(), fold=Fold.LEFT, folded=Size(5 * INCH, Fraction("3.5") * INCH))
    with_marks, without = (dict(after_cutting(done, has_score_marks=has))["Fold"] for has in (True, False))
    assert "from the trimmed left edge</b> (dashed marks outside the cut show where), then" in with_marks
    assert "dashed" not in without
    assert without.startswith("score <b>127 mm (5 in)")
    assert without.endswith("it opens like a book")


def test_play_in_an_envelope_is_told_both_ways():
    """A card of 5 x 3.5 in in one of 5.25 x 3.75 in has 1/4 in both ways."""
    done = finishing(
        two_up(),
        folded=Size(5 * INCH, Fraction("3.5") * INCH),
        envelope=Size(Fraction("5.25") * INCH, Fraction("3.75") * INCH),
    )
    assert dict(after_cutting(done))["Envelope"].endswith(
        "the card goes in with 6.35 mm (1/4 in) and 6.35 mm (1/4 in) of play"
    )
