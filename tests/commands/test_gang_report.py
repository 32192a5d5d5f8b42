"""What waits to share sheets, as it is told: by kind, until when, and what it would come to now."""

import os
from datetime import UTC, date, datetime, timedelta

import pytest

from watcher.commands.gang_report import NOTHING, lines_of_gang
from watcher.orders.claim import note_of, write_note
from watcher.orders.model import Order
from watcher.orders.wishes import Wishes
from watcher.records.journal import Entry, open_journal
from watcher.records.order_life import State
from watcher.settings.load import load_settings

NOW = datetime(2026, 5, 1, 12, tzinfo=UTC)


@pytest.fixture
def settings(print_folder):
    """Tags share A4 sheets."""
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace('size = "A4"', 'size = "A4"\ngang = true\ngang_wait = "4 h"'))
    for folder in ("state", "archive"):
        (print_folder / folder).mkdir()
    return load_settings(file)


@pytest.fixture
def wait(settings):
    """Have orders wait, the first since an hour ago."""

    def waits(*orders):
        journal = open_journal(settings.folders.state)
        for number, (name, wishes) in enumerate(orders, 1):
            order = Order(
                number=number, name=name, key=name, folder=None, wishes=wishes, accepted=False, art=(), files=()
            )
            write_note(settings.folders.archive, order)
            arrived = (NOW - timedelta(hours=1 if number == 1 else 0)).timestamp()
            os.utime(note_of(settings.folders.archive, number), (arrived, arrived))
            entry = Entry(number=number, name=name, key=name, card="tag", state=State.SHARING, since=NOW.isoformat())
            journal.write(entry)
        journal.close()

    return waits


def tags(quantity, **more):
    return Wishes(card="tag", quantity=quantity, **more)


@pytest.mark.parametrize("has_journal", [True, False])
def test_nothing_waits(settings, wait, has_journal):
    if has_journal:
        wait()
    assert list(lines_of_gang(settings, NOW)) == [NOTHING]


def test_orders_of_a_kind_are_told_together_until_the_first_of_them_is_due(settings, wait):
    wait(("apple", tags(2)), ("birch", tags(3, due=date(2026, 6, 1))))
    first, *orders, made, together = lines_of_gang(settings, NOW)
    assert first.startswith("2 orders wait for a4; made by ")
    assert "15:00" in first
    assert orders == ["  apple: 2 cards", "  birch: 3 cards, due 2026-06-01"]
    assert made.startswith("  Made now: All 2 orders share sheets: 1 sheet instead of 2, 1 sheet (50.0 %) saved")
    assert together == "  Together: apple, birch."


def test_one_order_alone_saves_nothing_and_is_not_called_together(settings, wait):
    wait(("apple", tags(2)))
    lines = list(lines_of_gang(settings, NOW))
    assert lines[0].startswith("1 order waits for a4;")
    assert lines[-1] == "  Made now: Sharing sheets saves nothing here; each order is made by itself."


def test_an_order_whose_note_is_gone_is_left_out(settings, wait):
    wait(("apple", tags(2)), ("birch", tags(3)))
    note_of(settings.folders.archive, 2).unlink()
    text = "\n".join(lines_of_gang(settings, NOW))
    assert "apple" in text
    assert "birch" not in text


def test_a_damaged_journal_is_one_line(settings, wait):
    wait()
    for file in settings.folders.state.iterdir():
        file.write_bytes(b"no journal " * 500)
    (line,) = lines_of_gang(settings, NOW)
    assert line.startswith("What waits cannot be read (")
