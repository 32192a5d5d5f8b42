"""A journal with orders in any state."""

from pathlib import Path
from typing import Any

from watcher.records.journal import Entry, open_journal
from watcher.records.order_life import State


def entry(number: int, state: State, **more: Any) -> Entry:
    return Entry(
        **{"number": number, "name": f"order {number}", "key": f"order {number}", "card": "tag", "state": state,
           "since": "2026-11-25T12:00:00+00:00", **more}
    )  # fmt: skip


def write_entries(print_folder: Path, *entries: Entry) -> None:
    journal = open_journal(print_folder / "state")
    for one in entries:
        journal.write(one)
    journal.close()
