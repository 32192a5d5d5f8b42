"""Folded cards, cutters and cut plans through the whole service, read from what lies in the outbox alone."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from watcher.commands.check_report import describe_settings
from watcher.service.loop import Service
from watcher.settings.load import load_settings

Once = Callable[[Path], Service]
Draw = Callable[..., Path]

CARDS = """
[cards.book]
trim = "4.25 x 5.5 in"
fold = "left"
bleed = "0.125 in"
sheet = "tabloid"
warn_ppi = 30
hold_ppi = 20
envelope = "A2 envelope"
[cards.tent]
trim = "3.5 x 2 in"
fold = "top"
bleed = "0.125 in"
sheet = "tabloid"
warn_ppi = 30
hold_ppi = 20
[sheets.tabloid]
size = "11 x 17 in"
printer = "office"
cutter = "rail"
grain = "short"
register_crosses = true
[cutters.rail]
kind = "trimmer"
"""


@pytest.fixture
def shop(print_folder: Path) -> Path:
    file = print_folder / "settings.toml"
    file.write_text(file.read_text() + CARDS)
    return print_folder


@pytest.fixture
def made(shop: Path, once: Once, draw_card: Draw) -> Callable[[str, tuple[int, int]], dict[str, Any]]:
    """Make an order of a card from art of so many pixels; gives its ticket."""

    def make(card: str, size: tuple[int, int]) -> dict[str, Any]:
        for side in ("front", "back"):
            draw_card(shop / "inbox" / card / f"fair_x12_{side}.png", size, word=side[0].upper())
        assert once(shop).making.made == 1
        return tomllib.loads((shop / "outbox/fair/fair_ticket.toml").read_text())

    return make


BOOK, TENT = (438, 288), (188, 213)  # 8.75 x 5.75 in and 3.75 x 4.25 in at 50 ppi: the spreads with their bleed


def test_art_of_a_folded_card_is_the_spread(made):
    ticket = made("book", BOOK)
    assert (ticket["card_size"]["trim_width_mm"], ticket["card_size"]["trim_height_mm"]) == (215.9, 139.7)
    assert {finding["code"] for finding in ticket["findings"]} == {"fold-across-grain"}


@pytest.mark.parametrize(
    ("card", "size", "backs", "turned"), [("book", BOOK, "head-to-head", 0), ("tent", TENT, "head-to-toe", 180)]
)
def test_the_fold_says_which_way_up_the_inside_stands(made, card, size, backs, turned):
    """On a portrait sheet turned on its long edge the back's turn is minus the front's, or a half turn more."""
    ticket = made(card, size)
    assert ticket["backs"] == backs
    assert {(place["turn"] + place["back_turn"]) % 360 for place in ticket["places"]} == {turned}


def test_folded_cards_all_stand_the_same_way(made):
    assert len({place["turn"] for place in made("tent", TENT)["places"]}) == 1


def test_the_cut_plan_in_the_ticket_gives_exactly_the_cards(made):
    """Carried out on paper from the ticket's own numbers: each card of trim size within 0.01 mm, nothing else left."""
    ticket = made("tent", TENT)
    pieces = {"sheet": (0.0, 0.0, ticket["sheet"]["width_mm"], ticket["sheet"]["height_mm"])}
    for cut in ticket["cuts"]:
        for name, (near, beyond) in zip(cut["pieces"], cut["gives"], strict=True):
            at_gauge, rest = _cut(pieces.pop(name), cut["against"], cut["gauge_mm"])
            pieces |= {kept: box for kept, box in ((near, at_gauge), (beyond, rest)) if kept != "waste"}
    assert set(pieces) == {f"card {place['number']}" for place in ticket["places"]}
    for place in ticket["places"]:
        width, height = ticket["card_size"]["trim_width_mm"], ticket["card_size"]["trim_height_mm"]
        if place["turn"] in (90, 270):
            width, height = height, width
        wanted = (place["x_mm"], place["y_mm"], place["x_mm"] + width, place["y_mm"] + height)
        assert pieces[f"card {place['number']}"] == pytest.approx(wanted, abs=0.01)


def _cut(box: tuple[float, ...], against: str, gauge: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """The part at the gauge and the part beyond."""
    left, bottom, right, top = box
    if against == "left":
        return (left, bottom, left + gauge, top), (left + gauge, bottom, right, top)
    if against == "right":
        return (right - gauge, bottom, right, top), (left, bottom, right - gauge, top)
    if against == "bottom":
        return (left, bottom, right, bottom + gauge), (left, bottom + gauge, right, top)
    return (left, top - gauge, right, top), (left, bottom, right, top - gauge)


def test_art_of_the_folded_size_is_not_taken_for_the_spread(shop: Path, once: Once, draw_card: Draw) -> None:
    for side in ("front", "back"):
        draw_card(shop / "inbox/book" / f"fair_{side}.png", (225, 288), word=side[0].upper())
    assert once(shop).making.held == 1


@pytest.mark.usefixtures("all_shown")
def test_the_preview_shows_both_faces(made, shop: Path):
    made("book", BOOK)
    with Image.open(shop / "outbox/fair/fair_preview.png") as picture:
        assert picture.width > picture.height


def test_check_says_how_a_card_is_cut_folded_and_sent(shop: Path) -> None:
    said = "\n".join(line.text for line in describe_settings(load_settings(shop / "settings.toml")))
    assert "book: 107.95 x 139.7 mm folded, 215.9 x 139.7 mm opened out" in said
    assert "cuts to part a sheet, with a trimmer" in said
    assert "fold: score 4 1/4 in (107.95 mm) from the trimmed left edge" in said
    assert "envelope: 4 3/8 x 5 3/4 in (111.12 x 146.05 mm)" in said
    assert "warn: The fold runs across the grain" in said
