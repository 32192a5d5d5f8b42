"""Mended art that arrives in pieces, from the inbox to the sheets; every `once` is a service that starts anew."""

from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.stories.shop_files import log, ticket
from watcher.service.loop import Service

pytestmark = pytest.mark.usefixtures("nothing_by_sight")

Once = Callable[[Path], Service]
Draw = Callable[..., Path]
SMALL = (60, 84)  # held for its pixels


def came_from(folder: Path, order: str) -> dict[str, str | None]:
    return {art["side"]: art.get("came_from") for art in ticket(folder, order)["art"]}


def wait(folder: Path, text: str) -> None:
    file = folder / "settings.toml"
    file.write_text(file.read_text().replace("[service]", f'[service]\nwait_for_other_side = "{text}"'))


@pytest.fixture
def held(print_folder: Path, once: Once, draw_card: Draw) -> Path:
    """A print folder with a pair that is held because its front is too small, and the mended front in the inbox."""
    draw_card(print_folder / "inbox/lantern_front.png", size=SMALL)
    draw_card(print_folder / "inbox/lantern_back.png", word="old back")
    once(print_folder)
    draw_card(print_folder / "inbox/lantern_front.png", word="new front")
    return print_folder


def test_nothing_is_made_while_the_other_side_may_still_come(held: Path, once: Once, draw_card: Draw) -> None:
    for _ in range(2):  # and a restart begins no new wait and ends none
        service = once(held)
        assert (service.making.made, service.making.held) == (0, 0)
    draw_card(held / "inbox/lantern_back.png", word="new back")
    assert once(held).making.made == 1
    assert came_from(held, "lantern") == {"front": None, "back": None}
    assert {path.name for path in (held / "held").iterdir()} == {"lantern-2"}


@pytest.mark.usefixtures("all_shown")
def test_a_side_out_of_the_held_folder_is_said_in_log_ticket_and_instructions(held: Path, once: Once) -> None:
    wait(held, "0 s")
    assert once(held).making.made == 1
    assert came_from(held, "lantern") == {"front": None, "back": "held/lantern"}
    assert "its back did not come anew, it lay in held/lantern since" in log(held)
    (finding,) = (one for one in ticket(held, "lantern")["findings"] if one["code"] == "earlier-art")
    assert (finding["level"], finding["side"]) == ("warn", "back")
    pages = PdfReader(held / "outbox/lantern/lantern_instructions.pdf").pages
    said = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "The back did not come with the rest: it lay in held/lantern since" in said


def test_a_partner_that_comes_later_finds_the_order_and_flags_the_earlier_sheets(
    held: Path, once: Once, draw_card: Draw
) -> None:
    wait(held, "0 s")
    once(held)
    front = (held / "archive/lantern/lantern_front.png").read_bytes()
    draw_card(held / "inbox/lantern_back.png", word="new back")
    assert once(held).making.made == 1
    assert came_from(held, "lantern-2") == {"front": "archive/lantern", "back": None}
    assert (held / "outbox/lantern/NEWER ART IN lantern-2.txt").exists()
    assert (held / "archive/lantern/lantern_front.png").read_bytes() == front  # the archive keeps its own


def test_the_same_old_side_sent_again_is_no_other_art(held: Path, once: Once) -> None:
    wait(held, "0 s")
    once(held)
    (held / "inbox/lantern_back.png").write_bytes((held / "archive/lantern/lantern_back.png").read_bytes())
    assert once(held).making.made == 0
    assert "the same art again" in log(held)


def test_a_side_that_was_not_waited_for_does_not_find_the_order(held: Path, once: Once, draw_card: Draw) -> None:
    """A front alone, after sheets whose back was the earlier one: which back it goes with is not known."""
    wait(held, "0 s")
    once(held)
    draw_card(held / "inbox/lantern_front.png", word="another front")
    service = once(held)
    assert (service.making.made, service.making.held) == (0, 1)


def test_moving_the_held_folder_back_uses_the_other_side_at_once(held: Path, once: Once) -> None:
    (held / "held/lantern").rename(held / "inbox/lantern")
    assert once(held).making.made == 1
    assert came_from(held, "lantern") == {"front": None, "back": "held/lantern"}
    assert [path.name for path in (held / "held/lantern").glob("*.png")] == ["lantern_front.png"]
    assert not (held / "inbox/lantern").exists()


def test_a_side_that_came_before_is_still_said_when_the_order_is_held_once_more(
    held: Path, once: Once, draw_card: Draw
) -> None:
    wait(held, "0 s")
    draw_card(held / "inbox/lantern_front.png", size=SMALL, word="too small again")
    once(held)
    (held / "held/lantern").rename(held / "held/lantern ok")
    assert once(held).making.made == 1
    assert came_from(held, "lantern") == {"front": None, "back": "held/lantern"}
