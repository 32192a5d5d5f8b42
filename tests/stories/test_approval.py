"""The customer's yes: an order waits with a picture of its card, and is made when its folder is renamed."""

import hashlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from watcher.orders.held_note import read_held_note
from watcher.outbox.hold import give_back
from watcher.service.loop import Service
from watcher.settings.load import load_settings
from watcher.status.lines import lines
from watcher.status.overview import read_overview
from watcher.terms import HeldFor

Once = Callable[[Path], Service]
Drop = Callable[..., None]


@pytest.fixture(autouse=True)
def _small_pictures() -> None:
    """The pictures are as large as ever: they are looked at here."""


@pytest.fixture
def shop(print_folder: Path) -> Path:
    """Every invitation waits for a yes."""
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace("[cards.invitation]", "[cards.invitation]\napprove = true"))
    return print_folder


@pytest.fixture
def asked(shop: Path, once: Once, drop_pair: Drop) -> Path:
    """The held folder of an order that waits."""
    drop_pair(shop / "inbox")
    assert once(shop).making.held == 1
    return shop / "held" / "lantern"


def contents(folder: Path) -> dict[str, str]:
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.iterdir()}


def test_an_order_waits_with_the_picture_of_its_card(asked: Path) -> None:
    there = {"held.toml", "lantern_back.png", "lantern_card.png", "lantern_front.png", "why.txt"}
    assert {path.name for path in asked.iterdir()} == there
    note = read_held_note(asked)
    assert note is not None
    assert (note.needs, note.pictures, note.soft) == (HeldFor.YES, ("lantern_card.png",), True)


@pytest.mark.usefixtures("all_shown")
def test_the_picture_shows_both_sides_trimmed(asked: Path) -> None:
    """5 x 7 in twice beside each other: each face keeps the shape of its trim, and the design's own colours."""
    with Image.open(asked / "lantern_card.png") as picture:
        pixels = np.asarray(picture.convert("RGB"))
    for colour in ((0xD8, 0xE4, 0xEE), (0xEE, 0xE4, 0xD8)):
        rows, columns = np.nonzero(np.abs(pixels.astype(int) - colour).max(axis=2) <= 3)
        height, width = rows.max() - rows.min() + 1, columns.max() - columns.min() + 1
        assert height / width == pytest.approx(7 / 5, rel=0.01)
    assert pixels.shape[0] > 800


def test_why_says_what_to_do(asked: Path) -> None:
    said = " ".join((asked / "why.txt").read_text("utf-8").split())
    assert "lantern waits for a yes since" in said
    assert "Send lantern_card.png to the customer." in said
    assert 'rename this folder to "lantern ok": it is made.' in said
    assert "mended" not in said


def test_after_ok_it_is_made_and_nothing_is_left(shop: Path, asked: Path, once: Once) -> None:
    asked.rename(asked.with_name("lantern ok"))
    assert once(shop).making.made == 1
    assert list((shop / "held").iterdir()) == []
    assert (shop / "outbox/lantern/lantern_sheets.pdf").is_file()
    assert {path.name for path in (shop / "archive/lantern").iterdir()} == {
        "lantern_back.png",
        "lantern_front.png",
        "lantern_ticket.toml",
    }


@pytest.mark.usefixtures("all_shown")
def test_the_picture_in_the_product_is_the_one_that_was_shown(shop: Path, asked: Path, once: Once) -> None:
    shown = (asked / "lantern_card.png").read_bytes()
    asked.rename(shop / "inbox" / "lantern ok")
    once(shop)
    assert (shop / "outbox/lantern/lantern_card.png").read_bytes() == shown


def test_a_restart_leaves_it_waiting(shop: Path, asked: Path, once: Once) -> None:
    before = contents(asked)
    service = once(shop)
    assert (service.making.made, service.making.held) == (0, 0)
    assert contents(asked) == before


@pytest.mark.usefixtures("all_shown")
def test_retry_without_anyway_leaves_it_waiting(shop: Path, asked: Path, once: Once) -> None:
    before = contents(asked)["lantern_card.png"]
    give_back("lantern", held=shop / "held", inbox=shop / "inbox", accepted=False)
    assert once(shop).making.made == 0
    assert contents(asked)["lantern_card.png"] == before
    assert list((shop / "inbox").iterdir()) == []


def test_retry_with_anyway_makes_it(shop: Path, asked: Path, once: Once) -> None:
    give_back("lantern", held=shop / "held", inbox=shop / "inbox", accepted=True)
    assert once(shop).making.made == 1


def test_status_tells_a_wait_from_a_fault(shop: Path, asked: Path) -> None:
    seen = read_overview(load_settings(shop / "settings.toml"))
    said = "\n".join(lines(seen, seen.held.entries[0].since))
    assert "Waits for a yes, since" in said
    page = (shop / "outbox/status.html").read_text("utf-8")
    assert "1 order waits for a yes to the picture of the card." in page
    assert '<article class="waits" id="held-lantern"><h3>' in page
    assert "needs your answer" not in page
    assert "lantern: waits for a yes" in (shop / "outbox/log.txt").read_text("utf-8")


def test_what_else_must_be_seen_is_asked_together(shop: Path, once: Once, drop_pair: Drop) -> None:
    """Art too coarse and a yes wanted: one folder, both reasons, the picture; "ok" answers both."""
    drop_pair(shop / "inbox", size=(126, 174))
    once(shop)
    note = read_held_note(shop / "held/lantern")
    assert note is not None
    assert (note.needs, note.soft) == (HeldFor.ART, True)
    why = (shop / "held/lantern/why.txt").read_text("utf-8")
    assert "ppi" in why
    assert "lantern_card.png" in why
    (shop / "held/lantern").rename(shop / "held/lantern ok")
    assert once(shop).making.made == 1


def test_what_nobody_may_accept_is_no_question(shop: Path, once: Once, drop_pair: Drop) -> None:
    drop_pair(shop / "inbox")
    (shop / "inbox/lantern_back.png").write_bytes((shop / "inbox/lantern_front.png").read_bytes()[:300] + b"\0" * 9000)
    once(shop)
    assert not list((shop / "held").rglob("*_card.png"))


@pytest.mark.parametrize(("word", "made"), [("true", 0), ("false", 1)])
def test_a_job_ticket_asks_for_it(print_folder: Path, once: Once, drop_pair: Drop, word: str, made: int) -> None:
    drop_pair(print_folder / "inbox")
    (print_folder / "inbox/lantern.toml").write_text(f"approve = {word}\n")
    assert once(print_folder).making.made == made


def test_a_job_ticket_may_say_that_none_is_needed(shop: Path, once: Once, drop_pair: Drop) -> None:
    drop_pair(shop / "inbox")
    (shop / "inbox/lantern.toml").write_text("approve = false\n")
    assert once(shop).making.made == 1


def test_the_question_of_a_ticket_survives_its_return(print_folder: Path, once: Once, drop_pair: Drop) -> None:
    """Moved back as it is, the ticket lies in the folder still and asks again."""
    drop_pair(print_folder / "inbox")
    (print_folder / "inbox/lantern.toml").write_text("approve = true\n")
    once(print_folder)
    (print_folder / "held/lantern").rename(print_folder / "inbox/lantern")
    assert once(print_folder).making.made == 0
    assert (print_folder / "held/lantern/lantern_card.png").is_file()


def test_changed_art_replaces_what_was_asked_about(shop: Path, asked: Path, once: Once, drop_pair: Drop) -> None:
    """The customer wants another colour: the new files ask anew, the earlier picture is out of the way."""
    drop_pair(shop / "inbox", colour="#aabbcc")
    once(shop)
    note = read_held_note(asked)
    assert note is not None
    assert note.needs is HeldFor.YES
    assert not note.replaced
