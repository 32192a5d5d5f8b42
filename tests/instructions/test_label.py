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
