"""Note cards with a white edge, up to the edge of the paper, through the whole service."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw

from watcher.commands.check_report import describe_settings
from watcher.service.loop import Service
from watcher.settings.load import load_settings

pytestmark = pytest.mark.usefixtures("nothing_by_sight")

CARDS = """
[cards.note]
trim = "4.25 x 5.5 in"
sheet = "letter"
paper_edge = "measure"
warn_ppi = 30
hold_ppi = 20
[cards.postcard]
trim = "ISO A6"
bleed = "3 mm"
sheet = "a4"
paper_edge = "measure"
warn_ppi = 30
hold_ppi = 20
"""
SIZES_PX = {"note": (425, 550), "postcard": (437, 606)}  # 100 ppi; the postcard with its bleed


@pytest.fixture
def shop(print_folder: Path) -> Path:
    file = print_folder / "settings.toml"
    file.write_text(file.read_text() + CARDS)
    return print_folder


@pytest.fixture
def made(shop: Path, once: Callable[[Path], Service]) -> Callable[..., dict[str, Any]]:
    """Make an order of a card with a drawing so many pixels inside its art's edges; gives its ticket."""

    def make(card: str, inset_px: int, back_inset_px: int | None = None, ending: str = "png") -> dict[str, Any]:
        folder = shop / "inbox" / card
        folder.mkdir(exist_ok=True)
        for side, inset in (("front", inset_px), ("back", inset_px if back_inset_px is None else back_inset_px)):
            width, height = SIZES_PX[card]
            image = Image.new("RGB", (width, height), "white")
            pen = ImageDraw.Draw(image)
            pen.rectangle((inset, inset, width - 1 - inset, height // 2), fill="#3060a0")
            pen.rectangle((width // 3, height // 2, width // 2, height - 1 - inset), fill="#a03060")
            image.save(folder / f"fair_x8_{side}.{ending}")
        assert once(shop).making.made == 1
        return tomllib.loads((shop / "outbox/fair/fair_ticket.toml").read_text())

    return make


def said(ticket: dict[str, Any], code: str) -> list[str]:
    return [finding["message"] for finding in ticket["findings"] if finding["code"] == code]


@pytest.mark.parametrize(("ending", "inset"), [("png", 26), ("jpg", 34), ("pdf", 34)])
def test_four_note_cards_lie_on_a_letter_sheet_and_take_two_cuts(made: Any, ending: str, inset: int) -> None:
    """A quarter inch is 25 px here. The traces of JPEG reach 8 px further (Pillow's PDF holds a JPEG)."""
    ticket = made("note", inset, ending=ending)
    assert (ticket["up"], ticket["sheets"], len(ticket["cuts"])) == (4, 2, 2)
    corners = {(place["x_mm"], place["y_mm"]) for place in ticket["places"]}
    assert corners == {(0, 0), (107.95, 0), (0, 139.7), (107.95, 139.7)}
    assert said(ticket, "paper-edge-inked") == []


def test_four_postcards_with_bare_bleed_lie_on_a4(made: Any) -> None:
    """Bleed that is bare paper needs no lane between the cards. 12 px of bleed, 25 px of rim, 4 px to spare."""
    ticket = made("postcard", 41)
    assert ticket["up"] == 4
    assert len(ticket["cuts"]) == 3


def test_ink_too_near_takes_it_back_and_says_where(made: Any) -> None:
    """10 px are 2.54 mm; the front is well."""
    ticket = made("note", 28, 10)
    assert ticket["up"] == 2
    (words,) = said(ticket, "paper-edge-inked")
    assert words.startswith("fair_x8_back.png has ink 2.54 mm from its top edge, 2.54 mm from its right edge")
    assert "6.35 mm of bare paper is needed there for 4 on a sheet" in words
    assert "There is room for 2 inside what the printer can print." in words


def test_without_the_setting_nothing_reaches_into_the_rim(shop: Path, made: Any) -> None:
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace('paper_edge = "measure"', ""))
    ticket = made("note", 28)
    assert ticket["up"] == 2
    assert said(ticket, "paper-edge-inked") == []


def test_check_tells_what_bare_edges_would_give(shop: Path) -> None:
    lines = [line.text for line in describe_settings(load_settings(shop / "settings.toml"))]
    assert sum("4 where the art leaves its edges bare" in line for line in lines) == 2


def test_a_correction_within_the_bare_edge_is_well(shop: Path, made: Any) -> None:
    """28 px less the rim leave 0.76 mm: half a millimetre may be moved."""
    file = shop / "settings.toml"
    file.write_text(file.read_text() + '[printers.office.align.letter]\nshift = ["0.5 mm", "-0.4 mm"]\n')
    ticket = made("note", 28)
    assert ticket["up"] == 4
    assert said(ticket, "correction-eats-bleed") == []
