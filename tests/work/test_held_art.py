"""An order that is held has a picture of its art with it, whatever it is held for."""

from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from tests.conftest import INVITATION_PX
from watcher.orders.held_note import HeldNote, read_held_note

Held = Callable[[], tuple[Path, HeldNote]]


@pytest.fixture
def held(print_folder: Path, once: Callable[[Path], object]) -> Held:
    """Make what lies in the inbox; gives the one held folder and its note."""

    def run() -> tuple[Path, HeldNote]:
        once(print_folder)
        (folder,) = (print_folder / "held").iterdir()
        note = read_held_note(folder)
        assert note is not None
        return folder, note

    return run


def test_a_soft_one_shows_both_sides_and_keeps_its_front_for_lists(print_folder, drop_pair, held):
    drop_pair(print_folder / "inbox", "lantern_x5", size=(126, 174))
    folder, note = held()
    assert note.spot_pictures == ("lantern_why.png",)
    picture = Image.open(BytesIO((folder / "lantern_why.png").read_bytes()))
    assert picture.width > picture.height / 2
    assert note.small_picture.startswith("/9j/")
    assert "lantern_why.png shows the art, and marks where." in (folder / "why.txt").read_text()


def test_the_day_and_the_number_go_with_it(print_folder, drop_pair, held):
    drop_pair(print_folder / "inbox", "lantern_x5", size=(126, 174))
    (print_folder / "inbox/lantern.toml").write_text("due = 2026-12-24\n")
    _, note = held()
    assert (note.due, note.quantity, note.quantity_from_card) == ("2026-12-24", 5, False)


def test_a_yes_with_nothing_to_be_said_has_the_card_alone(print_folder, drop_pair, held):
    drop_pair(print_folder / "inbox", "lantern_x5")
    (print_folder / "inbox/lantern.toml").write_text("approve = true\n")
    _, note = held()
    assert note.pictures == ("lantern_card.png",)


def test_a_yes_to_a_card_with_a_blank_back_marks_that(print_folder, drop_pair, held):
    drop_pair(print_folder / "inbox", "lantern_x5")
    Image.new("RGB", INVITATION_PX, "white").save(print_folder / "inbox/lantern_x5_back.png")
    (print_folder / "inbox/lantern.toml").write_text("approve = true\n")
    folder, note = held()
    assert note.pictures == ("lantern_card.png", "lantern_why.png")
    assert "Send lantern_card.png to the customer." in (folder / "why.txt").read_text()
    assert "lantern_why.png marks what to look at before you send it." in (folder / "why.txt").read_text()


def test_of_many_designs_those_that_are_spoken_of_are_shown(print_folder, draw_card, held):
    for number in range(1, 4):
        small = (86, 58) if number == 2 else (258, 173)
        draw_card(print_folder / f"inbox/tag/place_0{number}.png", small, word=str(number))
    (print_folder / "inbox/tag/place.toml").write_text("designs = 3\n")
    folder, note = held()
    assert note.spot_pictures == ("place_why.png",)
    assert (folder / "place_why.png").stat().st_size > 1000


def test_art_that_cannot_be_opened_has_none(print_folder, drop_pair, held):
    drop_pair(print_folder / "inbox", "lantern_x5")
    broken = print_folder / "inbox/lantern_x5_front.png"
    content = bytearray(broken.read_bytes())
    content[len(content) // 2] ^= 0xFF
    broken.write_bytes(bytes(content))
    _, note = held()
    assert note.pictures == ()
