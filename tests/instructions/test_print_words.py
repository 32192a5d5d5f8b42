"""The sentences on printing: the print dialog, which file, how often, the first sheet, the rest, what to look at.

The page numbers are counted by hand: page 1 is a front; with both sides in one file, sheet n has pages 2n - 1 and 2n.
"""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.instructions.an_order import LETTER
from watcher.instructions import print_words
from watcher.instructions.second_side import Stack
from watcher.layout.geometry import Size
from watcher.sheet.draw.ruler import Ruler
from watcher.sheet.draw.size_check import Between, Distance, SizeCheck
from watcher.terms import Copies, Duplex, Edge, Feed, Flip, PageOrder, PrinterKind

TWO = ("f.pdf", "b.pdf")
BY_HAND = (TWO, Flip.LONG_EDGE, Duplex.MANUAL)
WAY_BY_HAND = print_words.PrintWay(flip=Flip.LONG_EDGE, duplex=Duplex.MANUAL, copies=Copies.PAGES)
NOTHING_SHOWS = SizeCheck(distance=None)


def rest(files, sheets, flip, duplex, copies, reload=None, kind=PrinterKind.LASER, **more):
    way = print_words.PrintWay(flip=flip, duplex=duplex, copies=copies, reload=reload, kind=kind)
    return print_words.print_rest(files, sheets, way, **more)


def one(files, flip, duplex, copies, reload=None, **more):
    way = print_words.PrintWay(flip=flip, duplex=duplex, copies=copies, reload=reload)
    return print_words.print_one(files, way, **more)


@pytest.mark.parametrize(
    ("sheets", "copies", "said"),
    [
        (1, Copies.ONCE, "<b>a&amp;b.pdf</b>, <b>1 copy</b>"),
        (26, Copies.ONCE, "<b>a&amp;b.pdf</b>, <b>26 copies</b>"),
        (26, Copies.PAGES, "<b>a&amp;b.pdf</b>, <b>1 copy</b> (the file holds all 26 sheets)"),
    ],
)
def test_a_file_is_printed_once_or_once_a_sheet(sheets, copies, said):
    assert print_words.files_to_print(("a&b.pdf",), sheets, copies) == said


def test_of_two_files_the_fronts_come_first():
    said = print_words.files_to_print(TWO, 3, Copies.ONCE)
    assert said == "first <b>f.pdf</b>, <b>3 copies</b>; then <b>b.pdf</b> on the other side, <b>3 copies</b>"


@pytest.mark.parametrize(
    ("flip", "copies", "pages"),
    [
        (None, Copies.ONCE, ""),
        (None, Copies.PAGES, " (page 1 alone)"),
        (Flip.SHORT_EDGE, Copies.PAGES, " (pages 1 and 2)"),
    ],
)
def test_the_first_sheet_is_one_page_or_two(flip, copies, pages):
    assert one(("f.pdf",), flip, Duplex.AUTOMATIC, copies) == f"<b>Print ONE sheet</b>{pages}."


def test_a_first_sheet_that_a_person_turns_goes_back_in_as_the_turn_test_said():
    said = one(*BY_HAND, Copies.PAGES, "face & head down")
    assert said == (
        "<b>Print ONE sheet</b>: the fronts once, page 1 alone. Take that sheet and put it back in like this: "
        "<b>face &amp; head down</b>. Print the backs once, page 1 alone."
    )


def test_without_a_turn_test_it_is_turned_on_the_edge_of_the_flip_and_marked():
    said = one(*BY_HAND, Copies.ONCE)
    assert "the fronts once. Take that sheet and turn it over on its <b>long edge</b>" in said
    assert "pencil an arrow on it first" in said
    assert said.endswith("Print the backs once.")


@pytest.mark.parametrize(("has_marks", "through"), [(True, "a mark"), (False, "the corner of a card")])
def test_two_sides_are_held_against_the_light(has_marks, through):
    said = print_words.check_one(Flip.LONG_EDGE, Duplex.AUTOMATIC, NOTHING_SHOWS, has_marks=has_marks)
    assert f"or push a pin through {through}: front and back" in said
    assert said.endswith("the sheet was turned on the other edge: change that and print one again.")


def test_a_person_who_turned_the_sheet_wrong_turns_it_end_for_end():
    said = print_words.check_one(Flip.LONG_EDGE, Duplex.MANUAL, NOTHING_SHOWS, has_marks=True)
    assert said.endswith("the other end of the sheet must go in first: print one again so.")


def test_one_side_is_measured_and_no_more():
    said = print_words.check_one(None, Duplex.AUTOMATIC, NOTHING_SHOWS, has_marks=True)
    assert said.endswith("measure a card. If not, set actual size again.")
    assert "light" not in said


@pytest.mark.parametrize(
    ("inches_first", "said"), [(False, "exactly 100 mm long on one edge and 4 in"), (True, "exactly 4 in long on one")]
)
def test_a_ruler_is_told_in_the_units_of_the_card_first(inches_first, said):
    check = SizeCheck(ruler=Ruler(100, 4))
    assert said in print_words.measure_words(check, inches_first=inches_first)


@pytest.mark.parametrize(
    ("sheets", "order", "is_said"),
    [(5, PageOrder.ONE_TO_N, True), (2, PageOrder.ONE_TO_N, True), (5, None, True), (2, None, False)],
)
def test_numbers_are_looked_at_in_the_end_but_where_the_trial_was_all(sheets, order, is_said):
    said = list(print_words.check_numbers(Stack(sheets=sheets, order=order), has_numbers=True))
    assert [f"sheet {sheets} of {sheets})" in one for one in said] == [True] * is_said
    assert list(print_words.check_numbers(Stack(sheets=sheets, order=order), has_numbers=False)) == []


def test_sheets_that_are_all_alike_have_no_numbers_to_look_at():
    assert list(print_words.check_numbers(None, has_numbers=True)) == []
    assert list(print_words.check_trial(None, has_numbers=True)) == []


@pytest.mark.parametrize(
    ("others", "end"), [(False, "this order needs no more than this sheet."), (True, "this file.")]
)
def test_a_single_sheet_leaves_no_rest(others, end):
    assert rest(("f.pdf",), 1, None, Duplex.AUTOMATIC, Copies.ONCE, others=others).endswith(end)


@pytest.mark.parametrize("kind", list(PrinterKind))
def test_ink_dries_before_it_is_stacked_or_printed_on(kind):
    ink = kind is PrinterKind.INKJET
    assert ("Let the ink dry" in rest(("f.pdf",), 2, None, Duplex.AUTOMATIC, Copies.ONCE, kind=kind)) is ink
    assert ("let the fronts dry" in rest(TWO, 2, *BY_HAND[1:], Copies.ONCE, kind=kind)) is ink
    stack = Stack(sheets=3, order=PageOrder.ONE_TO_N)
    assert ("let the fronts dry" in rest(TWO, 3, *BY_HAND[1:], Copies.PAGES, kind=kind, stack=stack)) is ink


@pytest.mark.parametrize(("copies", "times"), [(Copies.ONCE, "4 more times"), (Copies.PAGES, "pages 2 to 5")])
def test_fronts_and_backs_of_the_rest_are_as_many(copies, times):
    assert rest(TWO, 5, *BY_HAND[1:], copies) == (
        f"If it is good, <b>print the rest</b>, 4 more sheets (5 with the first): the fronts {times}; take the stack "
        f"and put it back in exactly as you put back the first sheet; the backs {times}."
    )


def test_after_a_trial_of_the_first_and_the_last_the_rest_lies_between_them():
    """Of five sheets 1 and 5 were the trial, so 2 to 4 are left; of these sheet 2 must go in first."""
    said = rest(TWO, 5, *BY_HAND[1:], Copies.PAGES, stack=Stack(sheets=5, order=None))
    assert said == (
        "If they are good, <b>print the rest</b>, 3 more sheets (5 in all): the fronts pages 2 to 4; take the stack "
        "and put it back in exactly as you put back those two, so that <b>sheet 2 goes in first</b>; the backs "
        "pages 2 to 4."
    )


def test_a_trial_of_both_sheets_was_all():
    said = rest(TWO, 2, *BY_HAND[1:], Copies.PAGES, stack=Stack(sheets=2, order=None))
    assert said == "If they are good, that was all: this order needs no more than these two sheets."


@pytest.mark.parametrize(
    ("sheets", "end"), [(1, ": this one sheet, and check it."), (5, "check it, then 4 more (5 with the first).")]
)
def test_a_further_file_is_tried_with_one_sheet_too(sheets, end):
    said = print_words.print_another(TWO, sheets)
    assert said.startswith("Then the same way <b>f.pdf</b> and <b>b.pdf</b>: ")
    assert said.endswith(end)


def test_the_edge_that_enters_first_is_told_with_its_length():
    short, long = (print_words.feed_words(feed, LETTER) for feed in (Feed.SHORT_EDGE, Feed.LONG_EDGE))
    assert "<b>short edge</b>, 215.9 mm (8 1/2 in), into the printer first" in short
    assert "<b>long edge</b>, 279.4 mm (11 in)" in long
    led = print_words.feed_words(Feed.SHORT_EDGE, LETTER, Edge.TOP)
    assert led.endswith("becomes the <b>top</b> edge of the front")


def test_two_sided_printing_is_off_where_a_person_turns_the_stack():
    upright = print_words.sides_setting(Flip.LONG_EDGE, Duplex.AUTOMATIC, LETTER)
    lying = print_words.sides_setting(Flip.LONG_EDGE, Duplex.AUTOMATIC, Size(LETTER.height, LETTER.width))
    assert "flip on long edge" in upright
    assert "'book')" in upright
    assert "not by words like 'book'" in lying
    for flip, duplex in ((None, Duplex.AUTOMATIC), (Flip.LONG_EDGE, Duplex.MANUAL)):
        assert print_words.sides_setting(flip, duplex, LETTER).startswith("<b>one side</b>")


def test_the_size_is_measured_between_what_the_sheet_shows():
    length = Fraction("177.8")
    marks = Distance(between=Between.MARKS, length=length, across=True, edge=Edge.TOP)
    cards = Distance(between=Between.CARDS, length=length, across=True, cards=(1, 4))
    ends = Distance(between=Between.ENDS, length=length, across=False)
    said = [print_words.measure_words(SizeCheck(distance=one)) for one in (marks, cards, ends, None)]
    assert "along the top: it must be exactly 177.8 mm (7 in)" in said[0]
    assert "on card 1 to the same thing on card 4" in said[1]
    assert "from its top to its bottom end: it must be about 177.8 mm" in said[2]
    assert "must say 100 %" in said[3]


@pytest.mark.parametrize(("others", "which"), [(False, ""), (True, " of <b>a_sheets.pdf</b>")])
def test_the_first_sheet_is_of_a_named_file_where_there_are_others(others, which):
    way = print_words.PrintWay(flip=Flip.LONG_EDGE, duplex=Duplex.AUTOMATIC, copies=Copies.ONCE)
    said = print_words.print_one(("a_sheets.pdf",), way, others=others)
    assert said == f"<b>Print ONE sheet</b>{which}."


@pytest.mark.parametrize(("flip", "pages"), [(None, "pages 2 to 5"), (Flip.LONG_EDGE, "pages 3 to 10")])
def test_the_pages_of_the_rest_follow_those_of_the_first_sheet(flip, pages):
    """Five sheets in a row: the first took one page where nothing is on the back, else two."""
    way = print_words.PrintWay(flip=flip, duplex=Duplex.AUTOMATIC, copies=Copies.PAGES)
    rest = print_words.print_rest(("f.pdf",), 5, way)
    assert f"4 more sheets (5 with the first): {pages}." in rest


def test_the_backs_of_a_stack_that_comes_backwards_are_asked_for_backwards():
    """Five sheets, the last one first: the back of sheet 1 is page 5, those of 2 to 5 are pages 1 to 4."""
    stack = Stack(sheets=5, order=PageOrder.N_TO_ONE)
    way = replace(WAY_BY_HAND, reload="face down", kind=PrinterKind.INKJET)
    first = print_words.print_one(TWO, way, stack=stack)
    rest = print_words.print_rest(TWO, 5, way, stack=stack)
    assert "Print the backs once, page 5 alone (the back of sheet 1)." in first
    assert "4 more sheets (5 in all): the fronts pages 2 to 5; <b>let the fronts dry</b>" in rest
    assert "<b>sheet 5 goes in first</b>; the backs pages 1 to 4." in rest


def test_a_stack_in_an_order_that_nobody_knows_takes_two_sheets_to_try():
    stack = Stack(sheets=5, order=None)
    said = print_words.print_one(TWO, WAY_BY_HAND, stack=stack)
    assert said.startswith("<b>Print TWO sheets</b>, the first and the last: the fronts once, pages 1 and 5 alone.")
    (trial,) = print_words.check_trial(stack, has_numbers=True)
    assert "sheet 1 of 5, sheet 5 of 5" in trial
    assert list(print_words.check_trial(Stack(sheets=5, order=PageOrder.ONE_TO_N), has_numbers=True)) == []
