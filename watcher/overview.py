"""What waits, is being made, is held and is finished: read from the folders and the journal, changing nothing."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from watcher.inbox.scan import scan
from watcher.inbox.settle import Rested
from watcher.lock import is_locked
from watcher.orders.gather import gather, returned_folders, set_aside
from watcher.orders.held_note import read_held_note
from watcher.orders.pairing import pair_sides
from watcher.orders.say import waiting_line
from watcher.outbox.publish import still_there
from watcher.records.journal import Entry, State, read_journal
from watcher.records.plain_text import one_line
from watcher.settings.model import Settings
from watcher.taking import read_found

if TYPE_CHECKING:
    from watcher.service import Service

_FINISHED_SHOWN = 20


@dataclass(frozen=True, kw_only=True)
class Overview:
    """One look at a print folder, each entry a plain line.

    Attributes:
        at_work: whether a service is running on it.
        waiting: what lies in the inbox.
        making: what has been taken and is not finished.
        held: what was set aside, with its reason.
        finished: orders whose sheets lie in the outbox, newest first.
        left_alone: what lies in the inbox and is none of ours.
    """

    at_work: bool
    waiting: tuple[str, ...]
    making: tuple[str, ...]
    held: tuple[str, ...]
    finished: tuple[str, ...]
    left_alone: tuple[str, ...]


def look_over(settings: Settings) -> Overview:
    """Look at a print folder."""
    waiting, left_alone = _inbox(settings)
    entries = _journal(settings)
    return Overview(
        at_work=is_locked(settings.folders.state),
        waiting=waiting,
        making=tuple(
            f"{one_line(entry.name)}: {'being made' if entry.state is State.MAKING else 'taken, next in line'}"
            for entry in reversed(entries)
            if entry.state in (State.TAKEN, State.MAKING, State.DELIVERING)
        ),
        held=tuple(_held(settings)),
        finished=tuple(
            f"{one_line(entry.folder)}: {entry.says}"
            for entry in entries
            if entry.state is State.DONE and still_there(settings.folders.outbox, entry.folder)
        ),
        left_alone=left_alone,
    )


def lines(seen: Overview) -> Iterator[str]:
    """The overview as text."""
    yield "A service is at work here." if seen.at_work else "No service is at work here now."
    for title, entries in (
        ("Waits in the inbox", seen.waiting),
        ("Being made", seen.making),
        ("Held", seen.held),
        ("Left alone", seen.left_alone),
        ("Finished, in the outbox", seen.finished[:_FINISHED_SHOWN]),
    ):
        yield ""
        yield f"{title}:" if entries else f"{title}: nothing"
        yield from (f"  {entry}" for entry in entries)
    if len(seen.finished) > _FINISHED_SHOWN:
        yield f"  and {len(seen.finished) - _FINISHED_SHOWN} more"


def lines_of_run(service: "Service") -> Iterator[str]:
    """What one run of `once` came to."""
    making = service.making
    if service.trouble or making.paused:
        yield f"Stopped: {service.trouble or making.paused}"
    yield f"{making.made} made, {making.held} held, {len(service.looked.waiting)} waiting."
    for entry in service.shop.log.written:
        yield f"  {entry}"
    for entry in service.looked.waiting:
        yield f"  {entry}"


def _inbox(settings: Settings) -> tuple[tuple[str, ...], tuple[str, ...]]:
    try:
        seen = scan(settings.folders.inbox, settings.cards)
    except OSError as error:
        return (f"the inbox cannot be read: {one_line(str(error))}",), ()
    returned = returned_folders(seen)
    files = [*seen.files, *(file for folder in returned for file in folder.files)]
    gathered = gather(
        seen,
        Rested(ready=tuple(files)),
        returned,
        set_aside(settings.folders.held),
        {},
        settings.names,
        settings.service.give_up,
        lambda _path: False,
    )
    plans = [*pair_sides(gathered.table, settings, read_found), *gathered.unusable]
    unopened = (f"{one_line(file.name)}: not looked at yet" for file in gathered.to_look)
    return (*(waiting_line(plan) for plan in plans), *unopened), gathered.left_alone


def _journal(settings: Settings) -> list[Entry]:
    journal = read_journal(settings.folders.state)
    if journal is None:
        return []
    try:
        return journal.in_state(State.TAKEN, State.MAKING, State.DELIVERING, State.DONE)
    finally:
        journal.close()


def _held(settings: Settings) -> Iterator[str]:
    held = settings.folders.held
    for folder in sorted(held.iterdir()) if held.is_dir() else ():
        if folder.name.startswith(".") or not folder.is_dir():
            continue
        note = read_held_note(folder)
        yield f"{one_line(folder.name)}: {note.why if note else 'not set aside by this program; left alone'}"
