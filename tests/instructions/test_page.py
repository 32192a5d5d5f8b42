import hashlib
import os
import pickle
import re
import subprocess
import sys
from dataclasses import replace
from datetime import date
from fractions import Fraction
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from reportlab import rl_config

from tests.instructions.an_order import A4, FACTS, FIVE_BY_SEVEN, INCH, LETTER, changed, finishing, two_up
from watcher.instructions import style as instruction_style
from watcher.instructions.page import write_instructions
from watcher.instructions.preview import LatePicture
from watcher.instructions.second_side import Stack
from watcher.instructions.words import CUTTER_CAUTIONS, both_units, inches_to_32nds, size_in_both
from watcher.layout.geometry import Box, Size
from watcher.layout.model import Face, Place
from watcher.settings.values import Pile
from watcher.sheet.draw.ruler import Ruler
from watcher.sheet.draw.size_check import Between, Distance, SizeCheck
from watcher.terms import (
    Copies,
    CutterKind,
    Duplex,
    Edge,
    Feed,
    Finding,
    Flip,
    Fold,
    Level,
    Marks,
    PageOrder,
    PrinterKind,
    Turn,
)

BY_HAND: dict[str, Any] = {"duplex": Duplex.MANUAL, "files": ("walk_1-fronts.pdf", "walk_2-backs.pdf")}
ONE_SIDED: dict[str, Any] = {"flip": None, "layout": two_up(flip=None)}


def page_texts(pdf: bytes) -> list[str]:
    """The words of each page, white space evened out."""
    document = pypdfium2.PdfDocument(pdf)
    texts = []
    for index in range(len(document)):
        page = document[index]
        words = page.get_textpage()
        # pdfium gives U+FFFE where a line breaks inside a word at a hyphen: the hyphen was there
        texts.append(re.sub(r"\s+", " ", words.get_text_range().replace("\ufffe", "-")))
        words.close()
        page.close()
    document.close()
    return texts


def said(**changes: Any) -> str:
    return " ".join(page_texts(write_instructions(changed(FACTS, **changes))))


def picture(width_px: int = 600, height_px: int = 400) -> LatePicture:
    shown = Image.effect_mandelbrot((width_px, height_px), (-2, -1, 1, 1), 40).convert("RGB")
    return LatePicture(size_px=shown.size, picture=shown.copy)


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


def test_without_marks_the_measures_guide_the_cut() -> None:
    assert "carries no marks" not in said()
    words = said(marks=Marks.NONE)
    assert "The sheet carries no marks: go by the measures." in words
    assert "pin through the corner of a card" in words


def test_a_sheet_without_room_for_any_mark_is_cut_by_the_measures_too() -> None:
    lines = tuple((stroke.is_upright, stroke.line) for stroke in FACTS.finishing.plan.strokes)
    assert "carries no marks" in said(unmarked=lines)
    assert "carries no marks" not in said(unmarked=lines[1:])


def test_an_inkjet_printer_lets_the_fronts_dry() -> None:
    assert "let the fronts dry; take the stack" in said(**BY_HAND, kind=PrinterKind.INKJET)
    assert "Let the ink dry before you stack or cut them" in said(kind=PrinterKind.INKJET)
    assert "dry" not in said()


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
    """Sheets a pile: its height over the thickness of a sheet, rounded down (trade-facts 8)."""
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


# -- the drawings ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "face", "edge"),
    [("printed side down, top edge first", "DOWN", "TOP"), ("Printed side UP, left edge first.", "UP", "LEFT")],
)
def test_the_words_of_the_turn_test_are_drawn(words: str, face: str, edge: str) -> None:
    shown = said(**BY_HAND, reload=words)
    assert "PRINTER" in shown
    assert f"{edge} edge first" in shown
    assert f"printed side {face}" in shown


def test_other_words_for_reloading_are_not_drawn() -> None:
    assert "as told here" in said(**BY_HAND, reload="logo towards you")
    assert "PRINTER" not in said(reload="printed side down, top edge first")  # the printer turns the sheet


def test_cuts_are_numbered_in_the_drawing() -> None:
    """Each number stands once in the drawing beside the table: a circle that no other overlaps."""
    document = pypdfium2.PdfDocument(write_instructions(FACTS))
    page = document[0]
    circles = [item.get_bounds() for item in page.get_objects([2]) if _is_circle(item.get_bounds())]
    page.close()
    document.close()
    assert len(circles) == 6
    for number, one in enumerate(circles):
        for other in circles[:number]:
            assert one[0] >= other[2] - 1 or other[0] >= one[2] - 1 or one[1] >= other[3] - 1 or other[1] >= one[3] - 1


def _is_circle(bounds: tuple[float, float, float, float]) -> bool:
    left, bottom, right, top = bounds
    return 8 < right - left < 12 and 8 < top - bottom < 12


def test_the_sketch_is_true_to_scale() -> None:
    """The drawn boxes stand to each other as sheet and trims do."""
    document = pypdfium2.PdfDocument(write_instructions(FACTS))
    page = document[0]
    found = sorted((item.get_bounds() for item in page.get_objects([2])), key=_area, reverse=True)
    drawn = [found[0], *(box for box in found[1:] if _is_inside(box, found[0]))][:3]
    boxes = [_outline(box, line) for box, line in zip(drawn, (0.8, 0.3, 0.3), strict=True)]
    page.close()
    document.close()
    sheet, scale = boxes[0], (boxes[0][2] - boxes[0][0]) / float(LETTER.width)
    assert (sheet[3] - sheet[1]) / scale == pytest.approx(279.4, abs=0.1)
    upper = max(boxes[1:], key=lambda box: box[1])
    assert (upper[0] - sheet[0]) / scale == pytest.approx(19.05, abs=0.1)
    assert (upper[1] - sheet[1]) / scale == pytest.approx(142.875, abs=0.1)


def _outline(bounds: tuple[float, float, float, float], line: float) -> tuple[float, float, float, float]:
    """What was drawn: pdfium adds the width of the line, in points, on every side."""
    left, bottom, right, top = bounds
    return left + line, bottom + line, right - line, top - line


def _is_inside(box: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return other[0] < box[0] and other[1] < box[1] and box[2] < other[2] and box[3] < other[3]


def _area(box: tuple[float, float, float, float]) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


@pytest.mark.parametrize("cutter", list(CutterKind))
def test_the_cautions_of_the_cutter_are_there_in_full_on_the_first_page(cutter: CutterKind) -> None:
    first = page_texts(write_instructions(changed(FACTS, finishing=finishing(two_up(), cutter=cutter))))[0]
    assert CUTTER_CAUTIONS[cutter] in first


def test_note_due_and_findings_are_said() -> None:
    low = Finding(level=Level.WARN, code="low-resolution", message="walk_back.png is 1050 x 1470 px, 210 ppi.")
    made = Finding(level=Level.NOTE, code="bleed-made", message="3 mm of bleed was made by mirroring.")
    words = said(note="collect <b>& pay</b>\n<para>", due=date(2026, 12, 24), findings=(made, low))
    assert "Note: collect <b>& pay</b> <para>" in words
    assert "Due Thursday 2026-12-24" in words
    assert "3 mm of bleed was made by mirroring." in words
    assert words.index("walk_back.png is 1050 x 1470 px") < words.index("Print ONE") < words.index("3 mm of bleed")


def test_a_plain_order_fits_on_one_page_and_a_long_one_flows_on() -> None:
    noted = Finding(level=Level.NOTE, code="bleed-made", message="Bleed was made by mirroring its edge. " * 4)
    assert len(page_texts(write_instructions(changed(FACTS, **BY_HAND, preview=picture())))) == 1
    pages = page_texts(write_instructions(changed(FACTS, findings=(noted,) * 12)))
    assert len(pages) == 2
    assert "page 2 of 2" in pages[1]


@pytest.mark.parametrize(
    ("sheet", "points"),
    [(LETTER, (612, 792)), (Size(12 * INCH, 18 * INCH), (612, 792)), (A4, (595.2756, 841.8898)),
     (Size(Fraction(320), Fraction(450)), (595.2756, 841.8898))],
)  # fmt: skip
def test_the_page_is_letter_for_inch_paper_and_a4_otherwise(sheet: Size, points: tuple[float, float]) -> None:
    """Source of the sizes in points: trade-facts 1, exact conversions of ISO 216 and ANSI/ASME Y14.1."""
    pdf = write_instructions(changed(FACTS, sheet=sheet, layout=two_up(sheet)))
    with pikepdf.open(BytesIO(pdf)) as document:
        assert [float(value) for value in document.pages[0].mediabox[2:]] == pytest.approx(points, abs=0.001)


@pytest.mark.parametrize(
    ("mm", "words"),
    [("19.05", "3/4 in"), ("25.4", "1 in"), ("0.79375", "1/32 in"), ("196.85", "7 3/4 in"), ("0", "0 in"),
     ("3", "about 1/8 in"), ("5", "about 3/16 in"), ("297", "about 11 11/16 in"), ("25.3", "about 1 in")],
)  # fmt: skip
def test_inches_are_given_to_a_thirty_second(mm: str, words: str) -> None:
    """Worked out by hand from 1 in = 25.4 mm: 3 mm = 3.78/32, 5 mm = 6.30/32, 297 mm = 11 in + 22.17/32."""
    assert inches_to_32nds(Fraction(mm)) == words


def test_a_length_that_is_no_thirty_second_says_about() -> None:
    assert both_units(Fraction(3)) == "3 mm (about 1/8 in)"
    assert size_in_both(A4) == "210 x 297 mm (about 8 9/32 x 11 11/16 in)"


@pytest.mark.parametrize("name", ["w" * 180, "very-long-name-" * 12, "ein langer name " * 11])
def test_a_long_name_wraps_inside_the_page(name: str) -> None:
    document = pypdfium2.PdfDocument(write_instructions(changed(FACTS, order=name, note=name, **BY_HAND)))
    for index in range(len(document)):
        page = document[index]
        text = page.get_textpage()
        edges = [text.get_charbox(number) for number in range(text.count_chars())]
        text.close()
        page.close()
        assert min(edge[0] for edge in edges) > 20
        assert max(edge[2] for edge in edges) < 612 - 20
        assert min(edge[1] for edge in edges) > 5
    document.close()


def test_what_the_font_lacks_becomes_a_replacement_character() -> None:
    """Chinese, half of a pair, an override of the writing direction."""
    assert "caf\u00e9 \u03a9 \ufffd\ufffd\ufffd" in said(order="caf\u00e9 \u03a9 \u65e5\udc80\u202e")


@settings(max_examples=25, deadline=None)
@given(text=st.text(max_size=60))
def test_any_text_can_be_printed(text: str) -> None:
    facts = changed(FACTS, order=text, note=text, paper=text, reload=text, cards=text, sheet_name=text, date=text)
    assert write_instructions(changed(facts, **BY_HAND)).startswith(b"%PDF")


@pytest.mark.parametrize("change", [{}, BY_HAND], ids=["automatic", "by hand"])
def test_every_font_is_embedded_and_nothing_can_act(change: dict[str, Any]) -> None:
    facts = changed(FACTS, preview=picture(), **change)
    with pikepdf.open(BytesIO(write_instructions(facts))) as document:
        fonts = [font for page in document.pages for font in page.Resources.Font.values()]
        assert len({str(font.BaseFont) for font in fonts}) >= 2
        assert all("/FontFile2" in font.FontDescriptor for font in fonts)
        assert "/OpenAction" not in document.Root
        assert all("/Annots" not in page for page in document.pages)


def test_the_preview_is_shown_whole_beside_the_settings() -> None:
    document = pypdfium2.PdfDocument(write_instructions(changed(FACTS, preview=picture(900, 600))))
    page = document[0]
    left, bottom, right, top = next(iter(page.get_objects([3]))).get_bounds()
    page.close()
    document.close()
    assert (right - left) / (top - bottom) == pytest.approx(1.5, abs=0.01)
    assert left == pytest.approx(34, abs=1)  # the margin: pictures stand at the left, their words beside them
    assert right < 612 / 2
    assert bottom > 396  # near the top


def test_the_preview_is_waited_for_when_everything_else_is_set(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    shown = picture(900, 600)

    def late() -> Image.Image:
        asked.append("picture")
        return shown.picture()

    facts = changed(FACTS, preview=LatePicture(size_px=shown.size_px, picture=late))
    with monkeypatch.context() as patch:
        patch.setattr(instruction_style.NumberedPages, "save", lambda _canvas: asked.append("save"))
        write_instructions(facts)
    assert asked == ["save"]
    assert write_instructions(facts) == write_instructions(changed(FACTS, preview=shown))


SCRIPT = """
import hashlib, pickle, sys
from watcher.instructions.page import write_instructions
print(hashlib.sha256(write_instructions(pickle.load(sys.stdin.buffer))).hexdigest())
"""


def test_the_same_order_gives_the_same_bytes_in_any_process() -> None:
    facts = changed(FACTS, preview=picture(), note="twice")
    here = hashlib.sha256(write_instructions(facts)).hexdigest()
    assert hashlib.sha256(write_instructions(facts)).hexdigest() == here
    root = Path(__file__).parents[2]
    environment = {**os.environ, "PYTHONHASHSEED": "4711", "PYTHONPATH": str(root)}
    there = subprocess.run(
        [sys.executable, "-c", SCRIPT], input=pickle.dumps(facts), capture_output=True, env=environment,
        check=True, timeout=60,
    )  # fmt: skip
    assert there.stdout.decode().strip() == here


def test_writing_leaves_reportlab_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sheets of the same process are written by other rules."""
    monkeypatch.setattr(rl_config, "useA85", 1)
    write_instructions(FACTS)
    assert rl_config.useA85 == 1
