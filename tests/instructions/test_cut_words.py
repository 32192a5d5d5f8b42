"""The words of the cut table and of what follows it."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.instructions.an_order import INCH, finishing, two_up
from watcher.instructions.cut_words import NO_MARK, after_cutting, cards_named, cut_rows, how_to_cut, piles_line
from watcher.layout.geometry import Size
from watcher.settings.amounts import Pile
from watcher.terms import CutterKind, Fold

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
