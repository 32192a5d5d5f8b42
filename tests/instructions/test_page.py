from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.instructions.an_order import INCH, LETTER, two_up
from tests.instructions.said import BY_HAND, ONE_SIDED, said
from watcher.instructions.second_side import Stack
from watcher.layout.geometry import Size
from watcher.sheet.draw.ruler import Ruler
from watcher.sheet.draw.size_check import Between, Distance, SizeCheck
from watcher.terms import (
    Copies,
    Edge,
    Feed,
    Finding,
    Flip,
    Level,
    PageOrder,
    PrinterKind,
)


def test_the_page_says_order_quantity_and_files() -> None:
    words = said()
    assert "lantern-walk" in words
    assert "50 cards = 25 sheets, plus 1 spare" in words
    assert "lantern-walk_sheets.pdf, 26 copies" in words


def test_the_page_says_paper_and_size_in_both_units() -> None:
    words = said()
    assert "ON THIS PAPER ivory felt 300 g letter, 215.9 x 279.4 mm (8 1/2 x 11 in)" in words
    assert "127 x 177.8 mm (5 x 7 in), 2 on a sheet" in words


def test_the_page_says_actual_size_and_never_borderless() -> None:
    assert "SIZE actual size (100 %) never 'fit', never borderless" in said()


def test_one_sheet_comes_first_then_the_rest() -> None:
    words = said()
    assert words.index("Print ONE sheet") < words.index("Hold it against the light") < words.index("print the rest")
    assert "25 more sheets (26 with the first)" in words


def test_an_order_of_one_sheet_has_no_rest() -> None:
    words = said(quantity=2, base_sheets=1, spare_sheets=0)
    assert "2 cards = 1 sheet " in words
    assert "1 copy" in words
    assert "print the rest" not in words


@pytest.mark.parametrize(
    ("flip", "expected"),
    [(Flip.LONG_EDGE, "flip on long edge both sides; some printers say 'book'"),
     (Flip.SHORT_EDGE, "flip on short edge both sides; some printers say 'tablet'")],
)  # fmt: skip
def test_the_flip_is_said_as_drivers_say_it(flip: Flip, expected: str) -> None:
    assert expected in said(flip=flip)


def test_a_sheet_wider_than_high_is_told_by_its_edge_alone() -> None:
    """What drivers call "book" on such a page differs; the edge does not (RFC 8011 5.2.8)."""
    wide = Size(LETTER.height, LETTER.width)
    words = said(sheet=wide, layout=replace(two_up(), sheet=wide))
    assert "flip on long edge both sides; go by the edge" in words


def test_one_sided_says_so_and_holds_nothing_against_the_light() -> None:
    words = said(**ONE_SIDED)
    assert "TWO-SIDED off (one side)" in words
    assert "light" not in words
    assert "backs" not in words


def test_the_stack_is_turned_by_hand_in_plain_steps() -> None:
    words = said(**BY_HAND)
    assert "first walk_1-fronts.pdf, 26 copies; then walk_2-backs.pdf on the other side, 26 copies" in words
    assert "turn it over on its long edge" in words
    assert "the fronts 25 more times; take the stack" in words
    assert "dry" not in words
    assert "the backs 25 more times" in words


DIFFERENT = {**BY_HAND, "copies": Copies.PAGES, "reload": "printed side up, top edge first"}


@pytest.mark.parametrize(
    ("order", "expected"),
    [
        (PageOrder.N_TO_ONE, ("the backs once, page 26 alone", "sheet 26 goes in first", "the backs pages 1 to 25")),
        (PageOrder.ONE_TO_N, ("the backs once, page 1 alone", "sheet 2 goes in first", "the backs pages 2 to 26")),
    ],
)
def test_different_sheets_say_which_goes_in_first_and_which_page_is_its_back(
    order: PageOrder, expected: tuple[str, ...]
) -> None:
    words = said(**DIFFERENT, stack=Stack(sheets=26, order=order))
    assert [part for part in expected if part not in words] == []
    assert "in the order in which they came out" in words
    assert "front and back say the same number (sheet 1 of 26, sheet 26 of 26)" in words
    assert "turn it over" not in words


@pytest.mark.parametrize(
    ("sheets", "expected"),
    [(2, "that was all: this order needs no more than these two sheets"), (3, "1 more sheet (3 in all)")],
)
def test_where_no_order_is_known_two_sheets_are_tried_first(sheets: int, expected: str) -> None:
    words = said(**DIFFERENT, base_sheets=sheets, spare_sheets=0, stack=Stack(sheets=sheets, order=None))
    assert f"Print TWO sheets, the first and the last: the fronts once, pages 1 and {sheets} alone" in words
    assert "Sheet 1 must go in first." in words
    assert words.index("Look at both sheets: the small print on front and back says the same number") < words.index(
        expected
    )
    assert expected in words


def test_without_small_print_nobody_is_told_to_look_at_it() -> None:
    stack = Stack(sheets=26, order=PageOrder.N_TO_ONE)
    assert "Look at the small print" not in said(**DIFFERENT, stack=stack, slug=False)
    missing = Finding(level=Level.NOTE, code="slug-left-out", message="No room.")
    assert "Look at the small print" not in said(**DIFFERENT, stack=stack, findings=(missing,))


def test_sheets_that_are_all_alike_have_no_order() -> None:
    words = said(**BY_HAND, copies=Copies.PAGES)
    assert "goes in first" not in words
    assert "same number" not in words


def test_the_dialog_is_told_its_own_word_where_the_driver_swaps_the_two() -> None:
    words = said(chosen_flip=Flip.SHORT_EDGE)
    assert "flip on short edge both sides; some printers say 'tablet'" in words
    assert "off (one side)" in said(**ONE_SIDED, chosen_flip=Flip.SHORT_EDGE)


def test_by_hand_the_other_end_goes_first_where_a_back_stands_on_its_head() -> None:
    assert "the other end of the sheet must go in first" in said(**BY_HAND)
    assert "turned on the other edge: change that" in said()


def test_the_shop_s_own_words_for_reloading_are_used() -> None:
    words = said(**BY_HAND, reload="face down, logo towards you")
    assert words.count("face down, logo towards you") == 2
    assert "turn it over" not in words


@pytest.mark.parametrize(
    ("change", "expected"),
    [({}, ("1 copy (the file holds all 26 sheets)", "(pages 1 and 2)", "pages 3 to 52")),
     (ONE_SIDED, ("1 copy (the file holds all 26 sheets)", "(page 1 alone)", "pages 2 to 26")),
     (BY_HAND, ("the fronts once, page 1 alone", "the fronts pages 2 to 26", "the backs pages 2"))],
)  # fmt: skip
def test_a_file_that_holds_all_copies_is_printed_once(change: dict[str, Any], expected: tuple[str, ...]) -> None:
    words = said(**change, copies=Copies.PAGES)
    assert [part for part in expected if part not in words] == []


@pytest.mark.parametrize(
    ("feed", "expected"),
    [(Feed.SHORT_EDGE, "short edge, 215.9 mm (8 1/2 in)"), (Feed.LONG_EDGE, "long edge, 279.4 mm (11 in)")],
)
def test_the_feed_names_edge_and_length(feed: Feed, expected: str) -> None:
    assert f"{expected}, into the printer first" in said(feed=feed)


@pytest.mark.parametrize(
    ("check", "expected"),
    [
        (SizeCheck(ruler=Ruler(100, 4)), "Measure its ruler: it must be exactly 100 mm long on one edge and 4 in on"),
        (SizeCheck(ruler=Ruler(25, 1)), "Measure its ruler: it must be exactly 25 mm long on one edge and 1 in on"),
        (
            SizeCheck(distance=Distance(between=Between.MARKS, length=INCH * 5, across=True, edge=Edge.TOP)),
            "from the first to the last cutting mark along the top: it must be exactly 127 mm (5 in)",
        ),
        (
            SizeCheck(distance=Distance(between=Between.CARDS, length=INCH * 4, across=True, cards=(1, 2))),
            "printed on card 1 to the same thing on card 2 (counted from the top left, row by row): it must be exactly"
            " 101.6 mm (4 in)",
        ),
        (
            SizeCheck(distance=Distance(between=Between.ENDS, length=Fraction("153.7"), across=False)),
            "the print on its front, from its top to its bottom end: it must be about 153.7 mm (about 6 1/16 in)",
        ),
        (SizeCheck(), "Nothing on it shows its size"),
    ],
)
def test_the_first_sheet_is_measured_by_what_it_shows(check: SizeCheck, expected: str) -> None:
    words = said(size_check=check)
    assert expected in words
    assert ("Measure its ruler" in words) is (check.ruler is not None)


def test_an_inkjet_printer_lets_the_fronts_dry() -> None:
    assert "let the fronts dry; take the stack" in said(**BY_HAND, kind=PrinterKind.INKJET)
    assert "Let the ink dry before you stack or cut them" in said(kind=PrinterKind.INKJET)
    assert "dry" not in said()
