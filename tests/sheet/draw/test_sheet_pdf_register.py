"""Front and back of the finished sheet, rendered at 300 ppi and laid on each other in software.

The view through the sheet is the back page flipped as an image: left to right when the sheet is turned like a book
page, top to bottom when it is turned like a wall calendar (by hand). Which of the two a flip is: RFC 8011 5.2.8,
long edge of a portrait sheet = book. What a card's back must look like from its front is worked out here from the card
alone: turned like a book page its back is seen mirrored left to right, turned like a calendar top to bottom.
"""

from fractions import Fraction

import numpy as np
import pypdfium2
import pytest

from watcher.layout.geometry import Margins, Point, Size
from watcher.layout.register.alignment import Correction
from watcher.sheet.check.in_numbers import read_back
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Backs, Flip, Side, Turn

PPI = 300
UPRIGHT, LYING = Size(Fraction(20), Fraction(26)), Size(Fraction(26), Fraction(20))
PORTRAIT, LANDSCAPE = Size(Fraction(66), Fraction(78)), Size(Fraction(78), Fraction(66))
RED, BLUE, BLACK = (230, 0, 0), (0, 0, 230), (0, 0, 0)


def art(trim: Size, colour) -> np.ndarray:
    """A field of one colour with a black block at the upper left, where reading begins."""
    pixels = np.full((int(trim.height) * 4, int(trim.width) * 4, 3), colour, np.uint8)
    pixels[: pixels.shape[0] // 3, : pixels.shape[1] // 4] = BLACK
    return pixels


def is_book(sheet: Size, flip: Flip) -> bool:
    return (flip is Flip.LONG_EDGE) == (sheet.height >= sheet.width)


def cards_on(page: np.ndarray) -> list[tuple[int, int, int, int]]:
    """Top, bottom, left, right of each inked block, found in the picture alone: bare rows and columns part them."""
    inked = (page < 240).any(axis=2)
    rows, columns = runs(inked.any(axis=1)), runs(inked.any(axis=0))
    return [
        (top + inner_top, top + inner_bottom, left, right)
        for left, right in columns
        for top, bottom in rows
        for inner_top, inner_bottom in runs(inked[top:bottom, left:right].any(axis=1))
    ]


def runs(filled: np.ndarray) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], filled.astype(int), [0]])))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def corner_of_block(card: np.ndarray) -> tuple[bool, bool]:
    """Whether the black block lies in the upper half, and in the left half."""
    rows, columns = np.nonzero((card < 60).all(axis=2))
    return bool(rows.mean() < card.shape[0] / 2), bool(columns.mean() < card.shape[1] / 2)


@pytest.mark.parametrize("backs", list(Backs))
@pytest.mark.parametrize("flip", list(Flip))
@pytest.mark.parametrize("trim", [UPRIGHT, LYING], ids=["upright", "lying"])
@pytest.mark.parametrize("sheet", [PORTRAIT, LANDSCAPE], ids=["portrait", "landscape"])
def test_each_back_lies_on_its_front_the_right_way_up(laid_out, planned, face_of, render, sheet, trim, flip, backs):
    rim = Margins(Fraction(4), Fraction(6), Fraction(8), Fraction(3))
    layout = laid_out(sheet, trim, bleed=Fraction(0), least_bleed=Fraction(0), unprintable=rim, flip=flip, backs=backs)
    faces = face_of(art(trim, RED), trim), face_of(art(trim, BLUE), trim, side=Side.BACK)
    plan = planned(layout, *faces)
    files = draw_sheets(plan)
    read_back(files, plan)
    front, back = render(files[0].pdf, 0, PPI), render(files[0].pdf, 1, PPI)
    through = np.fliplr(back) if is_book(sheet, flip) else np.flipud(back)
    boxes, behind = cards_on(front), cards_on(through)
    assert len(boxes) == len(layout.places) >= 2
    assert np.abs(np.array(boxes) - np.array(behind)).max() <= 1  # corners within one pixel
    turns = {_box_key(place.front.trim, sheet): place.front.turn for place in layout.places}
    for top, bottom, left, right in boxes:
        turn = _nearest(turns, (left, top))
        read = np.rot90(front[top:bottom, left:right], -(turn // 90))
        seen = np.rot90(through[top:bottom, left:right], -(turn // 90))
        assert corner_of_block(read) == (True, True)
        assert corner_of_block(seen) == ((True, False) if backs is Backs.HEAD_TO_HEAD else (False, True))


def _box_key(box, sheet: Size) -> tuple[int, int]:
    return round(float(box.left) / 25.4 * PPI), round(float(sheet.height - box.top) / 25.4 * PPI)


def _nearest(turns: dict[tuple[int, int], Turn], corner: tuple[int, int]) -> Turn:
    (found,) = [turn for key, turn in turns.items() if max(abs(key[0] - corner[0]), abs(key[1] - corner[1])) <= 1]
    return found


@pytest.mark.parametrize("flip", list(Flip))
def test_marks_and_art_with_bleed_coincide_too(laid_out, planned, face_of, flip):
    """5 x 7 in on letter (common practice, no source): all that is inked in front is inked behind, within a pixel."""
    sheet, trim = Size(Fraction("215.9"), Fraction("279.4")), Size(Fraction(127), Fraction("177.8"))
    bleed = Fraction("3.175")
    layout = laid_out(
        sheet, trim, bleed=bleed, least_bleed=bleed, gutter=2 * bleed, unprintable=Margins.all_round(Fraction("6.35")),
        flip=flip,
    )  # fmt: skip
    dark = np.zeros((20, 20, 3), np.uint8)
    faces = face_of(dark, trim, bleed=bleed), face_of(dark, trim, bleed=bleed, side=Side.BACK)
    (file,) = draw_sheets(planned(layout, *faces, marks=True))
    with pypdfium2.PdfDocument(file.pdf) as document:
        front, back = (page.render(scale=PPI / 72, grayscale=True).to_numpy() < 128 for page in document)
    through = np.fliplr(back) if flip is Flip.LONG_EDGE else np.flipud(back)
    assert front.any()
    wider = through | np.roll(through, 1, axis=1) | np.roll(through, -1, axis=1)
    grown = wider | np.roll(wider, 1, axis=0) | np.roll(wider, -1, axis=0)
    assert not (front & ~grown).any()


def test_a_correction_moves_the_back_page_alone(laid_out, planned, face_of, render):
    """2 mm to the right and 1 mm up on the back page are 23.6 and 11.8 px at 300 ppi."""
    layout = laid_out(PORTRAIT, UPRIGHT, bleed=Fraction(0), least_bleed=Fraction(0))
    faces = face_of(art(UPRIGHT, RED), UPRIGHT), face_of(art(UPRIGHT, BLUE), UPRIGHT, side=Side.BACK)
    pages = []
    for correction in (None, Correction(shift=Point(Fraction(2), Fraction(1)))):
        plan = planned(layout, *faces, correction=correction)
        (file,) = draw_sheets(plan)
        read_back([file], plan)
        pages.append([np.array(cards_on(render(file.pdf, page, PPI))) for page in (0, 1)])
    assert np.array_equal(pages[0][0], pages[1][0])
    moved = pages[1][1] - pages[0][1]
    assert np.abs(moved - [-11.8, -11.8, 23.6, 23.6]).max() <= 1


def test_neighbours_bleed_ends_in_the_middle_of_a_narrow_gutter(laid_out, planned, face_of, render):
    """Gutter 2 mm, bleed 3 mm: each card's trim shows nothing of the card beside it (common practice, no source)."""
    layout = laid_out(PORTRAIT, UPRIGHT, gutter=Fraction(2), mixed_turns=False, two_sided=False, flip=None)
    assert len(layout.places) >= 4
    ringed = np.full((320, 260, 3), (0, 0, 230), np.uint8)
    ringed[35:-35, 35:-35] = (230, 230, 0)  # the trim yellow at 10 px a mm with half a mm to spare, its bleed blue
    (file,) = draw_sheets(planned(layout, face_of(ringed, UPRIGHT, bleed=Fraction(3))))
    page = render(file.pdf, 0, 254).astype(int)  # 10 px a mm
    for place in layout.places:
        box = place.front.trim.grown(Fraction(-6, 10))
        top, bottom = int((PORTRAIT.height - box.top) * 10), int((PORTRAIT.height - box.bottom) * 10)
        inside = page[top + 2 : bottom - 2, int(box.left * 10) + 2 : int(box.right * 10) - 2]
        assert (inside[:, :, 2] < 60).all()
