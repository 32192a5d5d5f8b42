"""Labels for bundles: one page a bundle, read back from the file."""

import re

import numpy as np
import pypdfium2
import pytest

from watcher.instructions.card_words import CardWords
from watcher.instructions.label import Bundles, label_pdf
from watcher.settings.values import parse_size
from watcher.sheet.check.render import Rendered
from watcher.terms import Side

ABOUT = CardWords(name="spring-menu", lines=("120 cards, 5 x 7 in", "on ivory felt", "Due Thursday 2026-12-24"))
LABEL = parse_size("4 x 6 in")
CARD = Rendered(side=Side.FRONT, pixels=np.full((70, 50, 3), 90, np.uint8), size=parse_size("5 x 7 in"))


def pages(pdf):
    """The words of each page, how many pictures are on it, and its size in points."""
    found = []
    with pypdfium2.PdfDocument(pdf) as document:
        for page in document:
            text = page.get_textpage()
            said = re.sub(r"\s+", " ", text.get_text_range())
            found.append((said, len(list(page.get_objects([3]))), page.get_size()))
            text.close()
            page.close()
    return found


def test_each_bundle_has_a_page_with_its_number_and_how_many_lie_in_it():
    said = [words for words, *_ in pages(label_pdf(Bundles(about=ABOUT, cards=120, bundle=50), LABEL, CARD))]
    assert [re.search(r"([0-9]+) cards?\s+bundle (. of .)", words).groups() for words in said] == [
        ("50", "1 of 3"), ("50", "2 of 3"), ("20", "3 of 3"),
    ]  # fmt: skip
    for part in ("spring-menu", "5 x 7 in", "on ivory felt", "Due Thursday 2026-12-24", "120 cards in all"):
        assert all(part in words for words in said)


def test_a_label_has_its_size_and_the_card_s_picture_where_there_is_one():
    with_picture, without = (
        pages(label_pdf(Bundles(about=ABOUT, cards=9, bundle=9), LABEL, card)) for card in (CARD, None)
    )
    assert [(pictures, size) for _, pictures, size in with_picture] == [(1, (288, 432))]  # 4 x 6 in at 72 points
    assert [pictures for _, pictures, _ in without] == [0]


@pytest.mark.parametrize("size", ["1 x 2 in", "A7", "8 x 2 in"])
def test_whatever_its_size_and_its_words_a_bundle_takes_one_page(size):
    about = CardWords(name="the annual lantern walk " * 6, lines=ABOUT.lines)
    bundles = Bundles(about=about, cards=60, bundle=50, note="Wrap in tens with the grey ribbon. " * 8)
    assert len(pages(label_pdf(bundles, parse_size(size), CARD))) == 2


def test_the_same_bundles_give_the_same_bytes():
    bundles = Bundles(about=ABOUT, cards=60, bundle=50, note="grey ribbon")
    assert label_pdf(bundles, LABEL, CARD) == label_pdf(bundles, LABEL, CARD)


@pytest.mark.parametrize(
    ("cards", "bundle", "sizes"), [(120, 50, (50, 50, 20)), (100, 50, (50, 50)), (9, 50, (9,)), (1, 1, (1,))]
)
def test_what_is_left_lies_in_the_last_bundle(cards, bundle, sizes):
    assert Bundles(about=ABOUT, cards=cards, bundle=bundle).sizes == sizes


def test_a_note_is_told_to_the_person_who_packs():
    with_note, without = (
        pages(label_pdf(Bundles(about=ABOUT, cards=1, bundle=9, note=note), LABEL, None))[0][0]
        for note in ("grey & <b>ribbon</b>", None)
    )
    assert "Note: grey & <b>ribbon</b>" in with_note
    assert "Note" not in without
    assert "1 card bundle 1 of 1; 1 card in all" in without


@pytest.mark.parametrize(("note", "is_below"), [(None, True), ("Wrap in tens. " * 9, False)])
def test_the_picture_stands_below_the_words_or_beside_them_where_too_little_room_is_left(note, is_below):
    bundles = Bundles(about=ABOUT, cards=9, bundle=9, note=note)
    with pypdfium2.PdfDocument(label_pdf(bundles, parse_size("6 x 4 in"), CARD)) as document:
        page = document[0]
        left, bottom, right, top = next(iter(page.get_objects([3]))).get_bounds()
        text = page.get_textpage()
        lowest = min(text.get_charbox(at)[1] for at in range(text.count_chars()))
        text.close()
        page.close()
    assert (top < lowest) is is_below
    assert (right - left) / (top - bottom) == pytest.approx(50 / 70, abs=0.01)
