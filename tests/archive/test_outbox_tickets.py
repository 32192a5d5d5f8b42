"""What tickets in the outbox say is kept for the next who lists; a ticket that was changed by hand counts."""

import os
from pathlib import Path

import pytest
import tomli_w

from watcher.archive import outbox_tickets
from watcher.archive.index_file import FILE_NAME
from watcher.archive.outbox_tickets import OutboxTickets
from watcher.archive.ticket_reader import MOST_WARNINGS, read_ticket

FINDING = {"level": "warn", "code": "low-resolution", "message": "Few pixels."}
TICKET = {
    "order": "lantern", "card": "invitation", "quantity": 50, "up": 2, "sheets": 26, "run_orders": ["lantern"],
    "made_at": "2026-05-02T10:00:00+00:00", "duplex": "manual", "flip": "long-edge", "backs_order": "n-to-1",
    "settings": {"printer": {"reload": "printed side down"}}, "findings": [FINDING] * (MOST_WARNINGS + 1),
    "sheet": {"name": "letter", "width_mm": 215.9, "height_mm": 279.4}, "picture": {"jpeg": "/9j/4AAQ"},
    "print": [{"file": "lantern_sheets.pdf", "copies": 1, "sides": "one-sided", "media": "na_letter_8.5x11in"}],
    "places": [{"number": 1, "x_mm": 19.05}],
}  # fmt: skip


@pytest.fixture
def ticket(tmp_path: Path) -> Path:
    """The ticket of a finished order, beside a folder for the state."""
    (tmp_path / "state").mkdir()
    (tmp_path / "outbox/lantern").mkdir(parents=True)
    file = tmp_path / "outbox/lantern/lantern_ticket.toml"
    file.write_text(tomli_w.dumps(TICKET))
    return file


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The tickets that are opened from now on."""
    names: list[str] = []
    read = outbox_tickets.read_ticket_file
    monkeypatch.setattr(outbox_tickets, "read_ticket_file", lambda file: names.append(file.name) or read(file))
    return names


def read_anew(ticket: Path, *, keeps: bool = True):
    """What another process reads, which may keep it."""
    tickets = OutboxTickets()
    tickets.begin(ticket.parents[1], ticket.parents[2] / "state")
    said = tickets.read(ticket)
    if keeps:
        tickets.keep()
    return said


def test_a_ticket_is_opened_once_and_the_next_is_told_the_same(ticket, opened):
    first, second = read_anew(ticket), read_anew(ticket)
    assert opened == [ticket.name]
    assert first == second == read_ticket(ticket)


@pytest.mark.parametrize("due", ["due = 2026-12-24", "due = 2026-12-24T10:00:00Z", 'due = "2026-12-24"'])
def test_a_day_that_somebody_wrote_stays_what_it_is(ticket, due):
    ticket.write_text(f"{due}\n{ticket.read_text()}")
    read_anew(ticket)
    assert read_anew(ticket).due == read_ticket(ticket).due is not None


def test_a_ticket_that_was_changed_by_hand_is_opened_again(ticket, opened):
    read_anew(ticket)
    before = ticket.stat()
    ticket.write_text(ticket.read_text().replace("sheets = 26", "sheets = 27"))
    os.utime(ticket, ns=(before.st_atime_ns, before.st_mtime_ns))  # same size, same date: the inode's own date tells
    assert read_anew(ticket).sheets == 27
    assert len(opened) == 2


def test_one_that_cannot_be_read_is_opened_once_too(ticket, opened):
    ticket.write_text("order = ")
    assert (read_anew(ticket), read_anew(ticket), len(opened)) == (None, None, 1)


def test_who_only_looks_leaves_nothing_behind(ticket):
    assert read_anew(ticket, keeps=False) == read_ticket(ticket)
    assert list((ticket.parents[2] / "state").iterdir()) == []


def test_a_damaged_file_is_made_anew(ticket, opened):
    file = ticket.parents[2] / "state" / FILE_NAME
    file.write_bytes(b"no database" * 100)
    assert (read_anew(ticket), read_anew(ticket)) == (read_ticket(ticket),) * 2
    assert opened == [ticket.name]


def test_what_is_collected_is_forgotten(ticket, opened):
    read_anew(ticket)
    tickets = OutboxTickets()
    tickets.begin(ticket.parents[1], ticket.parents[2] / "state")
    tickets.keep()
    read_anew(ticket)
    assert len(opened) == 2
