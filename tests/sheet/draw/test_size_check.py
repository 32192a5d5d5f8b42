"""What shows the size of a sheet: a ruler as long as there is room for, else two things and how far apart they are."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pypdfium2
import pytest

from watcher.art.model import Thumbnail
from watcher.layout.geometry import Margins, Point, Size
from watcher.layout.model import Mark
from watcher.sheet.draw.plan import CardDesign, SheetForm
from watcher.sheet.draw.ruler import RULERS, Ruler
from watcher.sheet.draw.sheet_pdf import draw_sheets, size_check, small_print_findings
from watcher.sheet.draw.size_check import Between, Distance, SizeCheck, between_marks
from watcher.sheet.draw.small_print import SmallPrint
from watcher.terms import Duplex, Edge, Turn

LETTER = Size(Fraction("215.9"), Fraction("279.4"))
QUARTER = Size(LETTER.width / 2, LETTER.height / 2)
PRINT = SmallPrint(order="dune", card="card", sheets=2, flip=None, duplex=Duplex.AUTOMATIC, date="2026-03-04")
BARE = {"bleed": Fraction(0), "least_bleed": Fraction(0), "gutter": Fraction(0), "two_sided": False, "flip": None}


@pytest.fixture
def plan_on(laid_out, planned, face_of, colours):
    """A one-sided plan with small print; the art has ink between a tenth and a half of its height, and all across."""

    def make(sheet, trim, *, marks=False, small_print=PRINT, ink=True, **said):
        layout = laid_out(sheet, trim, **{"two_sided": False, "flip": None, **said})
        picture = np.full((100, 80, 3), 255, np.uint8)
        if ink:
            picture[10:50] = 0
        face = face_of(colours(), trim, bleed=layout.bleed)
        return planned(
            layout,
            replace(face, art=replace(face.art, thumbnail=Thumbnail(picture=picture))),
            marks=marks,
            small_print=small_print,
        )

    return make


def words_on(pdf: bytes) -> str:
    with pypdfium2.PdfDocument(pdf) as document:
        return document[0].get_textpage().get_text_range()


@pytest.mark.parametrize(("wide", "ruler"), [(140, Ruler(100, 4)), (90, Ruler(50, 2)), (60, Ruler(25, 1))])
def test_a_sheet_has_the_longest_ruler_that_finds_room(plan_on, wide, ruler):
    """A card with 12 mm of waste above and below: room for a strip as long as the sheet, less the rim."""
    plan = plan_on(
        Size(Fraction(wide), Fraction(80)),
        Size(Fraction(wide - 20), Fraction(46)),
        unprintable=Margins.all_round(Fraction(3)),
    )
    assert size_check(plan) == SizeCheck(ruler=ruler)
    assert f"{ruler.mm} mm" in words_on(draw_sheets(plan)[0].pdf)
    assert not any(finding.code == "ruler-left-out" for finding in small_print_findings(plan))


@pytest.mark.parametrize("ruler", RULERS)
def test_every_ruler_holds_its_scales_and_their_words(ruler):
    """The inches are the longer scale: 1 in is 25.4 mm."""
    assert ruler.inches * Fraction("25.4") > ruler.mm
    assert ruler.length_mm > ruler.inches * Fraction("25.4") + 5


def test_without_room_for_any_the_outermost_marks_are_measured_and_small_print_says_so(plan_on):
    """A card of 127 x 178 mm in the middle of a sheet with a waste of 9.5 mm, of which 3 are rim and 3 bleed."""
    sheet, trim = Size(Fraction(146), Fraction(197)), Size(Fraction(127), Fraction(178))
    plan = plan_on(sheet, trim, marks=True, unprintable=Margins.all_round(Fraction(3)))
    assert plan.marks
    wanted = Distance(between=Between.MARKS, length=Fraction(178), across=False, edge=Edge.LEFT)
    assert size_check(plan) == SizeCheck(distance=wanted)
    assert "outermost cutting marks top to bottom: 178 mm apart" in words_on(draw_sheets(plan)[0].pdf)


def test_marks_of_a_fold_and_crosses_are_no_cutting_marks(one_place):
    """A card of 40 x 60 mm at (30, 40): ticks at its sides, a dashed one at its middle, a cross beside it."""
    layout = one_place(Size(Fraction(40), Fraction(60)), x=30, y=40)

    def tick(x, dashed=False):
        return Mark(start=Point(Fraction(x), Fraction(104)), end=Point(Fraction(x), Fraction(109)), dashed=dashed)

    found = between_marks(layout, [tick(30), tick(70), tick(5), tick(95, dashed=True)])
    assert found == Distance(between=Between.MARKS, length=Fraction(40), across=True, edge=Edge.TOP)
    assert between_marks(layout, [tick(50, dashed=True)]) is None


def test_without_marks_the_same_detail_of_two_cards_is_measured(plan_on):
    """Four cards of a quarter of a letter sheet cover it: 8.5 in across, 11 in upwards, so 5.5 in from row to row."""
    plan = plan_on(LETTER, QUARTER, unprintable=Margins.all_round(Fraction(0)), **BARE)
    found = size_check(plan)
    assert found.ruler is None
    assert (found.distance.between, found.distance.length) == (Between.CARDS, Fraction("139.7"))
    one, other = (plan.layout.places[number - 1].front for number in found.distance.cards)
    assert (one.turn, one.trim.left) == (other.turn, other.trim.left)


def test_cards_of_different_art_are_not_measured_from_one_to_the_other(plan_on):
    plan = plan_on(LETTER, QUARTER, unprintable=Margins.all_round(Fraction(0)), **BARE)
    front = plan.forms[0].designs[0].front
    designs = tuple(
        CardDesign(front=replace(front, art=replace(front.art, file=f"{number}.png"))) for number in range(4)
    )
    assert size_check(replace(plan, forms=(SheetForm(designs=designs, sheets=1),))).distance.between is Between.ENDS


@pytest.mark.parametrize("turn", list(Turn))
def test_a_single_card_is_measured_by_its_ink(plan_on, one_place, turn):
    """Ink over the whole width of 60 mm and two fifths of the height of 100 mm, whichever way the card lies."""
    trim = Size(Fraction(60), Fraction(100))
    whole = one_place(trim, sheet=trim.turned(turn), x=0, y=0, turn=turn)
    plan = replace(plan_on(trim, trim, unprintable=Margins.all_round(Fraction(0)), **BARE), layout=whole)
    assert size_check(plan).distance == Distance(between=Between.ENDS, length=Fraction(60), across=not turn.swaps_sides)


def test_nothing_to_measure_is_said_as_that(plan_on):
    plan = plan_on(LETTER, LETTER, ink=False, unprintable=Margins.all_round(Fraction(0)), **BARE)
    assert size_check(plan) == SizeCheck()


def test_without_small_print_there_is_no_ruler(plan_on):
    plan = plan_on(LETTER, Size(Fraction(85), Fraction(55)), small_print=None)
    assert size_check(plan).ruler is None
    assert size_check(plan).distance.between is Between.CARDS


def test_what_to_measure_is_left_out_of_the_line_before_the_line_itself(plan_on):
    """On a strip of 77 mm the order, its number and the rest have room, what to measure beside them has not."""
    sheet, trim = Size(Fraction(83), Fraction(72)), Size(Fraction(73), Fraction(60))
    plan = plan_on(
        sheet, trim, unprintable=Margins.all_round(Fraction("0.5")), bleed=Fraction(2), least_bleed=Fraction(0)
    )
    found = words_on(draw_sheets(plan)[0].pdf)
    assert size_check(plan).ruler is None
    assert size_check(plan).distance is not None
    assert "print 1 sheet at actual size" in found
    assert "mm" not in found
