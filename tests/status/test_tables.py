"""The overview as tables on a terminal."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from io import StringIO

import pytest
from rich.console import Console

from tests.status import a_day
from watcher.status.model import Listed, Overview
from watcher.status.tables import print_tables
from watcher.terms import Finding, Level


@pytest.fixture
def printed(now: datetime) -> Callable[..., str]:
    def to_text(seen: Overview, width: int = 100, *, colour: bool = False) -> str:
        out = StringIO()
        system = "truecolor" if colour else None
        console = Console(file=out, width=width, force_terminal=colour, color_system=system, markup=False, emoji=False)
        print_tables(seen, now, console)
        return out.getvalue()

    return to_text


def test_show_the_same_facts(full_day: Overview, printed: Callable[..., str]) -> None:
    text = " ".join(printed(full_day, 160).split())
    for said in (
        "Paused: the disk is full.",
        "5 orders are held and need your answer. 1 order waits in the inbox. 1 order is being made. 1 order is ready",
        "It is too small.",
        "It is the wrong shape.",
        '- Or rename this folder to "menu ok".',
        "and 4 more",
        "waits for its back",
        "tide is being made",
        "26 white card stock, letter, 215.9 x 279.4 mm 1",
        "50 cards = 25 sheets, plus 1 spare",
        "Thu 24 Dec",
        "holiday: a folder that is no card's",
    ):
        assert said in text


def test_say_in_a_sentence_that_there_is_nothing(nothing: Overview, printed: Callable[..., str]) -> None:
    assert printed(nothing).splitlines() == [
        "The program is not running now.",
        "Nothing waits, and there is nothing to print.",
    ]


@pytest.mark.parametrize("width", [40, 80, 200])
def test_are_no_wider_than_the_window(full_day: Overview, printed: Callable[..., str], width: int) -> None:
    order = replace(full_day.finished.entries[0], folder="w" * 90)
    text = printed(replace(full_day, finished=Listed(entries=(order,))), width)
    assert max(map(len, text.splitlines())) <= width
    assert text.count("w") >= 90  # folded, not cut


@pytest.mark.parametrize("name", ["[red]sale[/red]", ":bomb:", "[link=http://example.invalid]x[/link]", "[/]"])
def test_read_no_mark_up_in_a_name(full_day: Overview, printed: Callable[..., str], name: str) -> None:
    reason = Finding(level=Level.HOLD, code="x", message=name)
    held = replace(full_day.held.entries[0], folder=name, reasons=(reason,))
    assert printed(replace(full_day, held=Listed(entries=(held,))), 200).count(name) == 2


def test_let_no_name_steer_the_terminal(full_day: Overview, printed: Callable[..., str]) -> None:
    reason = Finding(level=Level.HOLD, code="x", message="\x1b[2J")
    held = replace(full_day.held.entries[0], folder="\x1b]0;x\x07", reasons=(reason,))
    text = printed(replace(full_day, held=Listed(entries=(held,))), colour=True)
    assert "\x1b[2J" not in text
    assert "\x1b]" not in text


def test_call_what_is_printed_by_its_own_name(full_day: Overview, printed: Callable[..., str]) -> None:
    order = a_day.finished("nova printed", order="nova")
    text = printed(replace(full_day, printed=Listed(entries=(order,))))
    assert "nova" in text
    assert "nova printed" not in text
