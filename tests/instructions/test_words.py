"""The sentences of the instructions: lengths as a ruler reads them, what to print first, what to check, the rest."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from tests.instructions.an_order import LETTER
from watcher.instructions import words
from watcher.instructions.second_side import Stack
from watcher.layout.geometry import Size
from watcher.settings.values import parse_size
from watcher.sheet.draw.size_check import Between, Distance, SizeCheck
from watcher.terms import Copies, CutterKind, Duplex, Edge, Feed, Flip, PageOrder, PrinterKind

TWO = ("f.pdf", "b.pdf")
BY_HAND = words.PrintWay(flip=Flip.LONG_EDGE, duplex=Duplex.MANUAL, copies=Copies.PAGES)


@pytest.mark.parametrize(
    ("mm", "said"),
    [("19.05", "3/4 in"), ("196.85", "7 3/4 in"), ("254", "10 in"), ("3", "about 1/8 in"), ("0", "0 in")],
)
def test_inches_are_those_of_a_ruler(mm, said):
    """One inch is 25.4 mm by definition (the international inch of 1959)."""
    assert words.inches_to_32nds(Fraction(mm)) == said


def test_words_from_people_are_one_line_and_no_mark_up():
    assert words.plain(" a <b>\n & c ") == "a &lt;b&gt; &amp; c"


def test_the_edge_that_enters_first_is_told_with_its_length():
    short, long = (words.feed_words(feed, LETTER) for feed in (Feed.SHORT_EDGE, Feed.LONG_EDGE))
    assert "<b>short edge</b>, 215.9 mm (8 1/2 in), into the printer first" in short
    assert "<b>long edge</b>, 279.4 mm (11 in)" in long
    assert words.feed_words(Feed.SHORT_EDGE, LETTER, Edge.TOP).endswith("becomes the <b>top</b> edge of the front")


def test_two_sided_printing_is_off_where_a_person_turns_the_stack():
    upright = words.sides_setting(Flip.LONG_EDGE, Duplex.AUTOMATIC, LETTER)
    lying = words.sides_setting(Flip.LONG_EDGE, Duplex.AUTOMATIC, Size(LETTER.height, LETTER.width))
    assert "flip on long edge" in upright
    assert "'book')" in upright
    assert "not by words like 'book'" in lying
    for flip, duplex in ((None, Duplex.AUTOMATIC), (Flip.LONG_EDGE, Duplex.MANUAL)):
        assert words.sides_setting(flip, duplex, LETTER).startswith("<b>one side</b>")


def test_the_size_is_measured_between_what_the_sheet_shows():
    length = Fraction("177.8")
    marks = Distance(between=Between.MARKS, length=length, across=True, edge=Edge.TOP)
    cards = Distance(between=Between.CARDS, length=length, across=True, cards=(1, 4))
    ends = Distance(between=Between.ENDS, length=length, across=False)
    said = [words.measure_words(SizeCheck(distance=one)) for one in (marks, cards, ends, None)]
    assert "along the top: it must be exactly 177.8 mm (7 in)" in said[0]
    assert "on card 1 to the same thing on card 4" in said[1]
    assert "from its top to its bottom end: it must be about 177.8 mm" in said[2]
    assert "must say 100 %" in said[3]


@pytest.mark.parametrize(("others", "which"), [(False, ""), (True, " of <b>a_sheets.pdf</b>")])
def test_the_first_sheet_is_of_a_named_file_where_there_are_others(others, which):
    way = words.PrintWay(flip=Flip.LONG_EDGE, duplex=Duplex.AUTOMATIC, copies=Copies.ONCE)
    said = words.print_one(("a_sheets.pdf",), way, others=others)
    assert said == f"<b>Print ONE sheet</b>{which}."


@pytest.mark.parametrize(("flip", "pages"), [(None, "pages 2 to 5"), (Flip.LONG_EDGE, "pages 3 to 10")])
def test_the_pages_of_the_rest_follow_those_of_the_first_sheet(flip, pages):
    """Five sheets in a row: the first took one page where nothing is on the back, else two."""
    way = words.PrintWay(flip=flip, duplex=Duplex.AUTOMATIC, copies=Copies.PAGES)
    rest = words.print_rest(("f.pdf",), 5, way)
    assert f"4 more sheets (5 with the first): {pages}." in rest


def test_the_backs_of_a_stack_that_comes_backwards_are_asked_for_backwards():
    """Five sheets, the last one first: the back of sheet 1 is page 5, those of 2 to 5 are pages 1 to 4."""
    stack = Stack(sheets=5, order=PageOrder.N_TO_ONE)
    way = replace(BY_HAND, reload="face down", kind=PrinterKind.INKJET)
    first = words.print_one(TWO, way, stack=stack)
    rest = words.print_rest(TWO, 5, way, stack=stack)
    assert "Print the backs once, page 5 alone (the back of sheet 1)." in first
    assert "4 more sheets (5 in all): the fronts pages 2 to 5; <b>let the fronts dry</b>" in rest
    assert "<b>sheet 5 goes in first</b>; the backs pages 1 to 4." in rest


def test_a_stack_in_an_order_that_nobody_knows_takes_two_sheets_to_try():
    stack = Stack(sheets=5, order=None)
    said = words.print_one(TWO, BY_HAND, stack=stack)
    assert said.startswith("<b>Print TWO sheets</b>, the first and the last: the fronts once, pages 1 and 5 alone.")
    (trial,) = words.check_trial(stack, has_numbers=True)
    assert "sheet 1 of 5, sheet 5 of 5" in trial
    assert list(words.check_trial(Stack(sheets=5, order=PageOrder.ONE_TO_N), has_numbers=True)) == []


def test_lengths_of_a_card_in_inches_have_these_first():
    assert words.both_units(Fraction("19.05"), inches_first=True) == "3/4 in (19.05 mm)"
    assert words.size_in_both(LETTER, inches_first=True) == "8 1/2 x 11 in (215.9 x 279.4 mm)"


@pytest.mark.parametrize(
    ("written", "inches"),
    [("5 x 7 in", True), ("127 x 177.8 mm", False), ("letter", True), ("A5", False), ("12.7 cm x 7 in", True)],
)
def test_a_card_is_in_inches_where_the_settings_write_it_so(written, inches):
    assert words.is_given_in_inches(parse_size(written)) is inches


def test_each_cutter_has_its_own_cautions():
    """Guillotine: EN 1010-3 as hse.gov.uk tells it, WorkSafe NZ's WKS-6; the others common practice, no source."""
    guillotine, trimmer, scissors = (words.CUTTER_CAUTIONS[kind] for kind in CutterKind)
    assert "clamp and two-hand control" in guillotine
    assert "clamp" not in trimmer + scissors
    assert all("blade" in caution and "fingers" in caution for caution in (trimmer, scissors))
    assert "ruler" in scissors
    assert all("Local safety rules come first" in caution for caution in (guillotine, trimmer, scissors))


def test_a_day_has_its_weekday_in_english():
    """24 December 2026 is a Thursday (any calendar)."""
    assert words.day(date(2026, 12, 24)) == "Thursday 2026-12-24"
