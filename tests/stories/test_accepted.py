"""A yes holds for what was read: `ORDER ok` makes the order with the numbers that stood in `why.txt`, and no others."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.stories.shop_files import why
from watcher.outbox.hold import give_back
from watcher.service.loop import Service

Once = Callable[[Path], Service]
Draw = Callable[..., Path]


@pytest.fixture
def shop(print_folder: Path, once: Once, draw_card: Draw, made_once: Callable[..., Path]) -> Path:
    """An order is held: its art is 4 x 6 in, the card 5 x 7 in, so that a strip at both ends would be cut off."""

    def make() -> None:
        for side in ("front", "back"):
            draw_card(print_folder / f"inbox/lantern_{side}.png", (425, 625))
        assert once(print_folder).making.held == 1

    made_once("4 x 6 in for 5 x 7 in", print_folder, make)
    assert "4.48 mm" in why(print_folder)
    return print_folder


def say_yes(shop: Path) -> None:
    give_back("lantern", held=shop / "held", inbox=shop / "inbox", accepted=True)


def lay_the_card_on_its_side(shop: Path) -> None:
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace('trim = "5 x 7 in"', 'trim = "7 x 5 in"'))


def test_it_is_made_when_nothing_has_changed(shop: Path, once: Once) -> None:
    say_yes(shop)
    assert once(shop).making.held == 0
    assert (shop / "outbox/lantern").is_dir()


def test_settings_that_changed_meanwhile_and_cut_more_off_are_asked_about(shop: Path, once: Once) -> None:
    lay_the_card_on_its_side(shop)
    say_yes(shop)
    assert once(shop).making.held == 1
    assert not (shop / "outbox/lantern").exists()
    assert "4.48 mm" not in why(shop)
    assert re.search(r"are cut off \([45]\d % of it\)", why(shop))


def test_the_next_yes_is_to_the_new_numbers(shop: Path, once: Once) -> None:
    lay_the_card_on_its_side(shop)
    say_yes(shop)
    once(shop)
    say_yes(shop)
    assert once(shop).making.held == 0
    assert (shop / "outbox/lantern").is_dir()


def test_other_art_laid_into_the_held_folder_is_asked_about(shop: Path, once: Once, draw_card: Draw) -> None:
    draw_card(shop / "held/lantern/lantern_front.png", (400, 800))
    say_yes(shop)
    assert once(shop).making.held == 1
    assert "400 x 800 px" in why(shop)


def test_a_note_of_an_earlier_version_is_accepted_as_it_was(shop: Path, once: Once) -> None:
    note = shop / "held/lantern/held.toml"
    lines = note.read_text().split("\n")
    begin = next(at for at, line in enumerate(lines) if line.startswith("seen = "))
    end = next(at for at in range(begin, len(lines)) if lines[at].endswith("]"))
    note.write_text("\n".join([*lines[:begin], *lines[end + 1 :]]))
    lay_the_card_on_its_side(shop)
    say_yes(shop)
    assert once(shop).making.held == 0
