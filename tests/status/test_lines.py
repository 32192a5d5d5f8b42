"""The overview as plain lines."""

from dataclasses import replace
from datetime import datetime

import pytest

from tests.status import a_day
from watcher.status.lines import MOST_FINISHED, lines
from watcher.status.model import Listed, Overview
from watcher.terms import Finding, Level

ODD = ["\x1b[2J\x1b]0;x\x07", "one\ntwo", "\u202egnp.tnorf", "caf\udce9"]


def test_say_all_that_is_known(full_day: Overview, now: datetime) -> None:
    text = "\n".join(lines(full_day, now))
    for said in (
        "The program is running. Last look at the inbox: Wed 25 Nov, 14:05.",
        "Paused: the disk is full. It goes on by itself when that is mended.",
        "The journal is damaged.",
        "  market: waits for its back; since Wed 25 Nov, 14:05; set aside after Wed 25 Nov, 14:20 if nothing",
        "  tide: is being made",
        "  menu: Held, needs your answer, since Wed 25 Nov, 14:05; may be printed anyway",
        "    It is too small.",
        "    It is the wrong shape.",
        "    What you can do: held/menu/why.txt",
        "and 4 more",
        "  holiday: a folder that is no card's",
        "  26 sheets: white card stock, letter, 215.9 x 279.4 mm",
        "Later:",
        "  lantern: print 26 sheets; finished today, 14:05; due Thu 24 Dec",
        "    50 cards = 25 sheets, plus 1 spare; white card stock, letter",
        "white card stock, letter, 215.9 x 279.4 mm; 2 on a sheet, 25 % of the paper is waste",
        "Made before as: lamp",
        "Note: two piles",
        "Look before you print: lantern_front.png is a little soft.",
        "Newer art under this name: lantern-2",
    ):
        assert said in text


def test_say_in_a_sentence_that_there_is_nothing(nothing: Overview, now: datetime) -> None:
    assert list(lines(nothing, now)) == [
        "The program is not running now.",
        "Nothing waits, and there is nothing to print.",
    ]


def test_give_the_first_finished_orders_and_count_the_others(full_day: Overview, now: datetime) -> None:
    many = full_day.finished.entries * (MOST_FINISHED + 3)
    told = list(lines(replace(full_day, held=Listed(), finished=Listed(entries=many, more=2)), now))
    assert "and 5 more" in told
    assert sum(line.startswith("  lantern: ") for line in told) == MOST_FINISHED


@pytest.mark.parametrize("name", ODD)
def test_obey_no_name(full_day: Overview, now: datetime, name: str) -> None:
    reason = Finding(level=Level.HOLD, code="x", message=name)
    held = replace(full_day.held.entries[0], folder=name, place=name, reasons=(reason,))
    finished = replace(full_day.finished.entries[0], folder=name, words=name, newer=(name,), paper=name)
    seen = replace(
        full_day, held=Listed(entries=(held,)), finished=Listed(entries=(finished,)), left_alone=Listed(entries=(name,))
    )
    for line in lines(seen, now):
        assert line == "" or line.isprintable()
        line.encode("utf-8")


def test_have_no_sign_of_a_terminal(full_day: Overview, now: datetime) -> None:
    assert "".join(lines(full_day, now)).isascii()


def test_do_not_speak_of_more_where_all_is_told(full_day: Overview, now: datetime) -> None:
    all_of_it = {name: replace(getattr(full_day, name), more=0) for name in ("waiting", "making", "held", "left_alone")}
    whole = replace(full_day, **all_of_it, finished=replace(full_day.finished, more=0))
    assert not [line for line in lines(whole, now) if line.strip().startswith("and ")]


def test_call_what_is_printed_by_its_own_name(full_day: Overview, now: datetime) -> None:
    printed = a_day.finished("nova printed", order="nova")
    text = "\n".join(lines(replace(full_day, printed=Listed(entries=(printed,))), now))
    assert "\nPrinted:\n  nova\n" in text
