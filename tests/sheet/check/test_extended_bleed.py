"""How much of a card with extended edges can be compared."""

from dataclasses import replace
from fractions import Fraction

from watcher.art.model import Fit
from watcher.layout.geometry import Box, Size
from watcher.sheet.check.extended_bleed import comparable_box
from watcher.terms import MakeBleed

TRIM = Size(Fraction(40), Fraction(50))
BLEED = Fraction(3)
WHOLE = Box.at(Fraction(0), Fraction(0), TRIM)
EXTENDED = Fit(box=WHOLE, bleed=BLEED, make_bleed=MakeBleed.EXTEND, ppi=None)


def test_it_ends_where_the_edge_that_runs_out_reaches_under_the_art():
    assert comparable_box(EXTENDED, TRIM) == WHOLE.grown(Fraction("-0.2"))


def test_a_side_on_which_the_art_covers_the_bleed_is_compared_to_its_end():
    fit = replace(EXTENDED, box=Box(-BLEED, Fraction(0), Fraction(40), Fraction(50)))
    found = comparable_box(fit, TRIM)
    assert found.left < -BLEED
    assert (found.bottom, found.right, found.top) == (Fraction("0.2"), Fraction("39.8"), Fraction("49.8"))


def test_a_side_on_which_paper_is_meant_is_compared_too():
    fit = replace(EXTENDED, box=Box(Fraction(2), Fraction(0), Fraction(40), Fraction(50)))
    assert comparable_box(fit, TRIM).left < -BLEED


def test_reflected_bleed_is_compared_to_its_end():
    found = comparable_box(replace(EXTENDED, make_bleed=MakeBleed.MIRROR), TRIM)
    assert found.meet(WHOLE.grown(BLEED)) == WHOLE.grown(BLEED)
