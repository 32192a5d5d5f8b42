"""Take files of the inbox and of held folders one by one: wait for them, leave them, refuse them, or keep them."""

import os
from collections.abc import Iterable
from dataclasses import replace

from watcher.errors import ArtUnreadable
from watcher.inbox.file_names import read_extension
from watcher.inbox.formats import HAVE_AN_INSIDE, TICKET
from watcher.inbox.found import Earlier, Found
from watcher.inbox.names import read_name
from watcher.inbox.scan import SeenFile
from watcher.inbox.unpack import unfold
from watcher.orders.gathered import Gathering
from watcher.orders.model import GroupKey, Planned
from watcher.orders.readings import group_key
from watcher.orders.usable import FILE_UNUSABLE, MOST_BYTES, too_large, why_unusable
from watcher.records.plain_text import one_line

NOT_COMPLETE = "is not complete: its end is missing. Export or copy it again"


def take_moving(into: Gathering, file: SeenFile) -> None:
    """Take a file that has not rested, or is not all there: it is waited for, for a while."""
    stuck_since, give_up_s = into.given.rested.stuck_since, into.given.give_up_s
    if file.identity.size > MOST_BYTES:
        _leave_alone(into, file)
    elif file.path in stuck_since and not os.access(file.path, os.R_OK):
        _leave_unread(into, file, waited_for=stuck_since[file.path] < give_up_s)
    elif stuck_since.get(file.path, -1.0) < give_up_s:
        wait_for(into, file)
    else:
        _refuse(into, file, NOT_COMPLETE)


def take_file(into: Gathering, file: SeenFile, members: tuple[str, ...] = (), earlier: Earlier | None = None) -> None:
    """Take a file that is complete.

    Args:
        into: what is collected.
        file: from the inbox, or from a held folder.
        members: those of a ZIP that belong to the order; empty for all.
        earlier: where it lies, when it came with an earlier try at the order.
    """
    if file.identity.size > MOST_BYTES:
        _leave_alone(into, file)
    elif (why := why_unusable(file)) is not None:
        _refuse(into, file, why)
    elif read_extension(file.name) not in HAVE_AN_INSIDE:
        _keep(into, unfold(file, None, into.words), members, earlier)
    else:
        _take_inside(into, file, members, earlier)


def _take_inside(into: Gathering, file: SeenFile, members: tuple[str, ...], earlier: Earlier | None) -> None:
    into.containers.add(file.identity)
    inside = into.given.insides.get(file.identity)
    if inside is None:
        into.to_look.append(file)
        into.arriving.add(key_of(into, file))
    elif isinstance(inside, str):
        _refuse(into, file, inside, whole_sentence=True)
    else:
        try:
            found = unfold(file, inside, into.words)
        except ArtUnreadable as error:
            _refuse(into, file, str(error), whole_sentence=True)
            return
        _keep(into, found, members, earlier)


def _keep(into: Gathering, found: Iterable[Found], members: tuple[str, ...], earlier: Earlier | None) -> None:
    into.found += [
        replace(one, earlier=earlier)
        for one in found
        if not members or one.member is None or one.member.stored_as in members
    ]


def wait_for(into: Gathering, file: SeenFile) -> None:
    """Wait for a file that is still being written: no order of its name is complete before it is."""
    into.arriving.add(key_of(into, file))
    if read_extension(file.name) == TICKET:
        into.tickets_arriving.add(key_of(into, file))
    into.arriving_files.append(file.name)


def _leave_alone(into: Gathering, file: SeenFile) -> None:
    """Leave a file where it is: it is too large to be read or moved."""
    into.left_alone.append(f"{one_line(file.name)}: {too_large(file, MOST_BYTES)}; export it smaller")


def _leave_unread(into: Gathering, file: SeenFile, *, waited_for: bool) -> None:
    """Leave a file that may not be read; for a while its order does not count as one that lacks a side."""
    into.left_alone.append(f"{one_line(file.name)}: may not be read; give the program the right to read it")
    if waited_for:
        into.arriving.add(key_of(into, file))


def _refuse(into: Gathering, file: SeenFile, why: str, *, whole_sentence: bool = False) -> None:
    parts = read_name(file.name, into.words).at_its_end
    fault = why if whole_sentence else f"{file.name} {why}."
    into.unusable.append(
        Planned(
            name=parts.order,
            key=parts.key,
            folder=file.folder,
            beside=(Found(file=file, parts=parts),),
            fault=fault,
            fault_code="" if whole_sentence else FILE_UNUSABLE,
        )
    )


def key_of(into: Gathering, file: SeenFile) -> GroupKey:
    """The name of the order that a file belongs to, as far as its own name tells."""
    return group_key(file.folder, read_name(file.name, into.words).key)
