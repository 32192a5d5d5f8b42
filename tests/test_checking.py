"""`print-folder check`: what the settings alone tell, and that art is judged by the printer it is for."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from watcher.checking import check_art, describe_settings
from watcher.service import Service
from watcher.settings.load import load_settings

SQUARE = """
[cards.coaster]
trim = "90 x 90 mm"
bleed = "3 mm"
sides = 1
sheet = "a4"
warn_ppi = 60
hold_ppi = 40
"""


@pytest.fixture
def shop(print_folder: Path) -> Path:
    file = print_folder / "settings.toml"
    file.write_text(file.read_text() + SQUARE)
    return print_folder


def said(shop: Path) -> list[str]:
    return [line.text for line in describe_settings(load_settings(shop / "settings.toml"))]


def test_a_card_whose_art_cannot_tell_its_bleed_is_warned_of(shop: Path) -> None:
    """Square with bleed and square without have one shape; the words name the key that decides."""
    warnings = [line for line in said(shop) if line.startswith("  warn: ") and "art_bleed" in line]
    assert len(warnings) == 1
    assert "90 x 90 mm" in warnings[0]
    assert "96 x 96 mm" in warnings[0]


def test_a_card_that_says_its_bleed_is_not_warned_of(shop: Path) -> None:
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace('trim = "90 x 90 mm"', 'trim = "90 x 90 mm"\nart_bleed = "3 mm"'))
    assert not [line for line in said(shop) if "art_bleed" in line]


@pytest.fixture
def inky(tmp_path: Path) -> Path:
    """CMYK art of 230 % of ink all over."""
    file = tmp_path / "art" / "sun.tif"
    file.parent.mkdir()
    Image.new("CMYK", (258, 173), (153, 128, 51, 255)).save(file)
    return file


def limited(shop: Path, percent: int) -> None:
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace("[printers.office]", f"[printers.office]\nink_limit = '{percent} %'"))


@pytest.mark.parametrize(("percent", "count"), [(220, 1), (240, 0)])
def test_check_judges_ink_by_the_printer(
    shop: Path, inky: Path, inline_workers: None, percent: int, count: int
) -> None:
    limited(shop, percent)
    lines = list(check_art(load_settings(shop / "settings.toml"), [inky], "tag"))
    assert len([line for line in lines if f"{percent} % is the limit" in line.text]) == count


def test_an_order_is_judged_by_the_printer_too(shop: Path, inky: Path, once: Callable[[Path], Service]) -> None:
    limited(shop, 220)
    (shop / "inbox" / "tag").mkdir(exist_ok=True)
    inky.rename(shop / "inbox" / "tag" / inky.name)
    assert once(shop).making.made == 1
    assert 'code = "too-much-ink"' in (shop / "outbox/sun/sun_ticket.toml").read_text()
