"""What the customer's picture says of the card."""

from datetime import date

import pytest
from PIL import Image, ImageDraw

from tests.instructions.an_order import FACTS
from watcher.instructions.card_words import CardWords, card_words, under_words
from watcher.orders.wishes import Wishes
from watcher.settings.values import parse_size
from watcher.terms import Fold


def words(trim="5 x 7 in", fold=None, *, sides=2, due=None, designs=1):
    card = FACTS.settings.card.model_copy(update={"trim": parse_size(trim), "fold": fold, "sides": sides})
    setup = type(FACTS.settings)(card=card, **{k: v for k, v in FACTS.settings.parts.items() if k != "card"})
    return card_words("spring-menu", setup, Wishes(quantity=50, due=due), "2026-02-01", designs=designs)


def test_size_stands_in_the_unit_of_the_settings():
    assert "50 cards, 4.25 x 5.5 in, printed on both sides" in words("4.25 x 5.5 in").lines
    assert "50 cards, 85 x 55 mm, printed on one side" in words("85 x 55 mm", sides=1).lines


def test_a_folded_card_has_both_sizes():
    said = words("4.25 x 5.5 in", Fold.LEFT).lines[0]
    assert "4.25 x 5.5 in folded, 8.5 x 5.5 in opened out" in said


def test_the_paper_is_named():
    assert "on ivory felt 300 g" in words().lines


@pytest.mark.parametrize(("due", "said"), [(date(2026, 12, 24), "Due Thursday 2026-12-24"), (None, "As of 2026-02-01")])
def test_the_day_is_the_due_date_or_that_of_the_first_making(due, said):
    assert said in words(due=due).lines


def test_of_several_designs_the_quantity_is_that_of_each():
    assert words(designs=24).lines[0].startswith("24 designs x 50 cards, ")


@pytest.mark.parametrize("wide", [90, 1400])
def test_the_picture_is_whole_below_the_words(wide):
    picture = Image.new("RGB", (wide, 60), (200, 0, 50))
    shown = under_words(picture, words())
    left = (shown.width - wide) // 2
    found = [row for row in range(shown.height) if shown.getpixel((left, row)) == (200, 0, 50)]
    assert len(found) == 60
    above = shown.crop((0, 0, shown.width, found[0])).convert("L")
    assert above.getextrema()[0] < 60  # something is written
    assert shown.crop((0, found[-1] + 1, shown.width, shown.height)).convert("L").getextrema()[0] < 150


@pytest.fixture
def written(monkeypatch):
    """What is written on a picture of this width: where each line ends, and its words."""

    def write(wide, about):
        lines = []

        def text(_draw, at, words, *, font, anchor="la", **_look):
            lines.append((at[0] + font.getlength(words) if anchor == "la" else at[0], words))

        with monkeypatch.context() as patch:
            patch.setattr(ImageDraw.ImageDraw, "text", text)
            picture = under_words(Image.new("RGB", (wide, 60)), about)
        return picture, lines

    return write


@pytest.mark.parametrize("wide", [620, 1000, 1400])
def test_words_are_broken_between_them_and_stay_within_the_edges(written, wide):
    name = " ".join(["lantern-evening"] * 20)
    picture, lines = written(wide, CardWords(name=name, lines=("50 cards",)))
    *of_name, said, _ = lines
    assert " ".join(words for _, words in of_name) == name
    assert len(of_name) > 1
    assert said[1] == "50 cards"
    assert max(end for end, _ in lines) <= picture.width - 18


def test_a_word_longer_than_a_line_is_broken_anywhere(written):
    name = "lantern" * 20
    _, lines = written(90, CardWords(name=name, lines=()))
    assert "".join(words for _, words in lines[:-1]) == name


def test_a_small_card_has_a_picture_wide_enough_for_its_words(written):
    """620 px, 18 px at each edge; the name takes 30 px letters, a line 19 px ones, each 1.35 times as high."""
    picture, lines = written(90, CardWords(name="lantern", lines=("50 cards", "on felt")))
    assert picture.size == (620, 2 * 18 + 40 + 26 + 26 + 60 + 18 + 19)
    assert [words for _, words in lines] == ["lantern", "50 cards", "on felt", "not to scale on screen"]
    assert lines[-1][0] == 620 - 18
