"""What the shop's own command is told of printing, through the whole service: RFC 8011 5.2.8, PWG 5101.1."""

import ast
import os
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import SETTINGS
from tests.stories.shop_files import change
from watcher.service.loop import Service
from watcher.settings.load import load_settings

pytestmark = pytest.mark.usefixtures("nothing_by_sight")

Once = Callable[[Path], Service]
Draw = Callable[..., Path]
TELL = "import sys; open(sys.argv[1], 'a').write(repr(sys.argv[2:]) + chr(10))"
ASKED = ("{order}", "{sheets}", "{copies}", "sides={sides}", "{media}", "{ticket}")


@pytest.fixture
def shop(print_folder: Path, monkeypatch: pytest.MonkeyPatch, say_yes: Callable[[Path], None]) -> Path:
    """A print folder whose command writes down what it is told."""
    monkeypatch.setattr("watcher.work.make_order.write_instructions", lambda *_: b"%PDF-1.6\n%%EOF\n")
    monkeypatch.setattr(os, "fsync", lambda _handle: None)
    words = [sys.executable, "-c", TELL, str(print_folder.parent / "told"), *ASKED]
    change(print_folder, "[service]", f"[service]\non_finished = {words!r}")
    say_yes(print_folder)
    return print_folder


def told(shop: Path) -> list[list[str]]:
    """What each call was told: the order, the file's name, copies, sides, paper."""
    calls = [ast.literal_eval(line) for line in (shop.parent / "told").read_text().splitlines()]
    for order, sheets, *_, ticket in calls:
        assert Path(sheets).is_file()
        assert Path(sheets).parent == shop / "outbox" / order
        assert "print" in tomllib.loads(Path(ticket).read_text())
    return [[order, Path(sheets).name, *rest[:-1]] for order, sheets, *rest in calls]


def test_the_line_for_lp_in_the_readme_is_one_that_the_settings_take(shop: Path) -> None:
    """lp(1) of CUPS 2.4: -d destination, -n copies, -o option=value, -t title; `--` before a name from outside."""
    readme = (Path(__file__).parents[2] / "README.md").read_text()
    (line,) = [line.strip() for line in readme.splitlines() if line.strip().startswith("on_finished = ")]
    (shop / "settings.toml").write_text(f"[service]\n{line}\n{SETTINGS.replace('[service]', '')}")
    words = load_settings(shop / "settings.toml").service.on_finished
    assert (words[0], words[-2:]) == ("lp", ("--", "{sheets}"))
    assert {"sides={sides}", "media={media}", "print-scaling=none", "{copies}"} <= set(words)


def test_an_automatic_duplex_printer(shop: Path, once: Once, drop_pair: Callable[..., None]) -> None:
    drop_pair(shop / "inbox", "lantern_x4")
    once(shop)
    assert told(shop) == [["lantern", "lantern_sheets.pdf", "3", "sides=two-sided-long-edge", "na_letter_8.5x11in"]]


def test_the_other_edge(shop: Path, once: Once, drop_pair: Callable[..., None]) -> None:
    change(shop, 'flip = "long-edge"', 'flip = "short-edge"')
    drop_pair(shop / "inbox")
    once(shop)
    assert told(shop)[0][3] == "sides=two-sided-short-edge"


def test_manual_duplex_has_a_call_for_fronts_and_one_for_backs(
    shop: Path, once: Once, drop_pair: Callable[..., None]
) -> None:
    change(shop, 'flip = "long-edge"', 'flip = "long-edge"\nduplex = "manual"')
    drop_pair(shop / "inbox", "lantern_x4")
    once(shop)
    assert told(shop) == [
        ["lantern", "lantern_1-fronts.pdf", "3", "sides=one-sided", "na_letter_8.5x11in"],
        ["lantern", "lantern_2-backs.pdf", "3", "sides=one-sided", "na_letter_8.5x11in"],
    ]


def test_a_card_of_one_side(shop: Path, once: Once, draw_card: Draw) -> None:
    draw_card(shop / "inbox/tag/fern_x25.png", (258, 173))
    once(shop)
    ((order, name, copies, sides, media),) = told(shop)
    assert (order, name, sides, media) == ("fern", "fern_sheets.pdf", "sides=one-sided", "iso_a4_210x297mm")
    assert int(copies) == tomllib.loads((shop / "archive/fern/fern_ticket.toml").read_text())["sheets"]


def test_pages_repeated_in_the_file_are_printed_once(shop: Path, once: Once, drop_pair: Callable[..., None]) -> None:
    """`copies = "pages"`: three copies of three sheets each would be nine."""
    change(shop, 'size = "letter"', 'size = "letter"\ncopies = "pages"')
    drop_pair(shop / "inbox", "lantern_x4")
    once(shop)
    assert told(shop)[0][2] == "1"


def test_different_sheets_of_many_designs_are_one_copy(shop: Path, once: Once, draw_card: Draw) -> None:
    (shop / "inbox/tag").mkdir()
    (shop / "inbox/tag/places.toml").write_text("designs = 12\nquantity = 1")
    for number in range(1, 13):
        draw_card(shop / f"inbox/tag/places_{number:02}.png", (258, 173), word=str(number))
    once(shop)
    assert tomllib.loads((shop / "archive/places/places_ticket.toml").read_text())["sheets"] > 1
    assert [call[2] for call in told(shop)] == ["1"]


def test_a_run_is_told_of_once_with_its_own_copies(shop: Path, once: Once, draw_card: Draw) -> None:
    change(shop, 'size = "A4"', 'size = "A4"\ngang = true')
    for name in ("apple", "birch", "cedar"):
        draw_card(shop / f"inbox/tag/{name}_x6.png", (258, 173), word=name)
    once(shop)
    ((run, name, copies, sides, media),) = told(shop)
    assert name == f"{run}_sheets.pdf"
    assert (sides, media) == ("sides=one-sided", "iso_a4_210x297mm")
    assert int(copies) == tomllib.loads((shop / "archive/apple/apple_ticket.toml").read_text())["run_sheets"]


def test_a_ticket_of_an_earlier_version_is_made_out_as_well_as_may_be(
    shop: Path,
    once: Once,
    drop_pair: Callable[..., None],
    monkeypatch: pytest.MonkeyPatch,
    say_yes: Callable[[Path], None],
) -> None:
    """One whose delivery was cut short by the power cut after which the program was brought up to date."""
    monkeypatch.setattr("watcher.work.ticket_facts.print_files", lambda *_: ())
    change(shop, "{ticket}", "{order}")
    say_yes(shop)
    drop_pair(shop / "inbox", "lantern_x4")
    once(shop)
    call = ast.literal_eval((shop.parent / "told").read_text())
    assert call[2:5] == ["3", "sides=two-sided-long-edge", "na_letter_8.5x11in"]
