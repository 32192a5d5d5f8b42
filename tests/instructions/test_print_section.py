"""The section for the person at the printer: where its pictures and words stand."""

from datetime import date
from io import BytesIO

import pypdfium2
import pytest
from PIL import Image

from tests.instructions.an_order import FACTS, changed, two_up
from tests.instructions.said import said
from watcher.instructions.page import write_instructions
from watcher.instructions.preview import LatePicture
from watcher.orders.model import DesignPlaces
from watcher.terms import Duplex, Finding, Level, Sequencing

PREVIEW = LatePicture(size_px=(900, 600), picture=lambda: Image.new("RGB", (900, 600), (200, 220, 240)))
BY_HAND = {"duplex": Duplex.MANUAL, "files": ("walk_1-fronts.pdf", "walk_2-backs.pdf")}
LONG = "Wrap in tens with the grey ribbon, one spare on top of each pack. " * 3
LOW = Finding(level=Level.WARN, code="low-resolution", message="walk_back.png is 1050 x 1470 px, 210 ppi. " * 2)


def places(pdf):
    """Where the preview and some words of the first page stand: left, bottom, right, top; and the number of pages."""
    with pypdfium2.PdfDocument(BytesIO(pdf)) as document:
        page = document[0]
        picture = next(iter(page.get_objects([3]))).get_bounds()
        text = page.get_textpage()
        found = {}
        for words in ("Due", "Note:", "Print", "TOP", "FRONT"):
            search = text.search(words, match_case=True)
            at = search.get_next()
            found[words] = None if at is None else text.get_charbox(at[0])
            search.close()
        pages = len(document)
        text.close()
        page.close()
    return picture, found, pages


@pytest.mark.parametrize("way", [{}, BY_HAND])
def test_due_date_and_note_stand_beside_the_preview(way):
    facts = changed(FACTS, preview=PREVIEW, due=date(2026, 12, 24), note=LONG, **way)
    picture, words, pages = places(write_instructions(facts))
    for part in ("Due", "Note:"):
        left, bottom, _, top = words[part]
        assert left > picture[2]  # beside
        assert picture[1] < bottom < top < picture[3]  # and at its height
    assert pages == 1


def test_the_turning_is_drawn_at_the_left_of_its_words():
    picture, words, pages = places(write_instructions(changed(FACTS, preview=PREVIEW, **BY_HAND)))
    assert words["FRONT"][2] < picture[2] + 1
    assert words["FRONT"][3] < picture[1]
    assert pages == 1


@pytest.mark.parametrize(
    ("reload", "foot"),
    [
        (None, "try it first"),
        ("printed side up, top edge first", "printed side UP"),
        ("with the grey clip", "as told here"),
    ],
)
def test_below_the_drawing_stands_what_is_known_of_how_the_stack_goes_back(reload, foot):
    with pypdfium2.PdfDocument(write_instructions(changed(FACTS, reload=reload, **BY_HAND))) as document:
        page = document[0]
        text = page.get_textpage()
        said = text.get_text_range()
        text.close()
        page.close()
    assert [words in said for words in ("try it first", "printed side UP", "as told here")].count(True) == 1
    assert foot in said


def test_one_warning_leaves_an_order_on_one_page():
    facts = changed(FACTS, preview=PREVIEW, due=date(2026, 12, 24), note="Grey ribbon.", findings=(LOW,), **BY_HAND)
    assert places(write_instructions(facts))[2] == 1


def test_what_holds_for_both_sides_is_said_once_with_both_files():
    said = "is 400 x 560 px, 80 ppi at 127 x 177.8 mm; 225 ppi is wanted."
    low = [Finding(level=Level.WARN, code="low-resolution", message=f"walk {side}.png {said}") for side in ("f", "b")]
    other = Finding(level=Level.WARN, code="low-resolution", message="walk c.png is 300 x 560 px.")
    with pypdfium2.PdfDocument(write_instructions(changed(FACTS, findings=(*low, other)))) as document:
        page = document[0]
        text = page.get_textpage()
        words = " ".join(text.get_text_range().split())
        text.close()
        page.close()
    assert words.count(said) == 1
    assert f"walk f.png {said} The same of walk b.png." in words
    assert "walk c.png is 300 x 560 px." in words


def several(forms):
    lying = tuple(((2 * number + 1, 2 * number + 2), 1) for number in range(forms))
    numbers = tuple(range(1, 2 * forms + 1))
    return DesignPlaces(numbers=numbers, sequence=Sequencing.ACROSS, forms=lying, only=())


@pytest.mark.parametrize(
    ("changes", "caption"),
    [
        ({}, "How it looks: the front, and the back."),
        ({"layout": two_up(flip=None)}, "How it looks: the front."),
        ({"designs": several(3)}, "How they look: 3 different sheets."),
        ({"designs": several(4)}, "How they look: the first 3 of 4 different sheets."),
    ],
)
def test_below_the_preview_stands_what_it_shows(changes, caption):
    assert caption in " ".join(said(preview=PREVIEW, **changes).split())


@pytest.mark.parametrize(
    ("level", "words"), [(Level.WARN, "Look at this"), (Level.HOLD, "Printed anyway"), (Level.NOTE, None)]
)
def test_what_is_grave_stands_before_the_printing(level, words):
    finding = Finding(level=level, code="x", message="The fox looks the wrong way.")
    page = " ".join(said(findings=(finding,)).split())
    assert ("Before you print" in page) is (words is not None)
    assert (f"{words}: The fox looks the wrong way." in page) is (words is not None)
