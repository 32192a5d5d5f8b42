"""What a service is put together of at its start: folders, journal and log; workers, gang runs and memory budget."""

import errno
import os
import sqlite3
from pathlib import Path

from watcher.archive.rebuilding import Rebuilding
from watcher.disk import remove_file
from watcher.errors import ServiceStopped
from watcher.records.log import EventLog
from watcher.records.machine import this_machine
from watcher.records.timestamps import local_now
from watcher.records.trouble import say_trouble
from watcher.service.life.gang_pool import Pool
from watcher.service.life.gang_runs import Runs
from watcher.service.life.journal_writing import JournalWriting
from watcher.service.life.making import Making
from watcher.service.memory_budget import MemoryBudget
from watcher.service.pauses import Pauses
from watcher.service.roots import Roots
from watcher.service.shop import Shop
from watcher.service.state_folder import StateFolder
from watcher.service.synced import refuse_synced_state
from watcher.settings.model import Settings
from watcher.settings.trusted import check_places
from watcher.work.limits import low_limits
from watcher.work.workers import is_local, workers_for


def open_shop(settings: Settings, state: StateFolder) -> Shop:
    """Make and open what the parts of a service share: folders, lock, journal, log.

    Raises:
        ServiceStopped: folders cannot be made or used, nobody has said yes to where they are, a sync program would
            spoil `state`, or another instance is at work.
    """
    folders = settings.folders
    try:
        check_places(settings)
        refuse_synced_state(settings)
        for folder in (folders.inbox, folders.outbox, folders.held, folders.archive, folders.state):
            folder.mkdir(parents=True, exist_ok=True)
        _drop_links(folders.state)
        journal = state.open()
        rebuilding = Rebuilding(journal, folders)
    except (OSError, sqlite3.Error) as error:
        why = say_trouble(error) if isinstance(error, OSError) else _say_of_journal(error, folders.state)
        raise ServiceStopped(f"The print folder cannot be used: {why}.") from error
    roots = Roots(folders)
    log = EventLog(folders.outbox / "log.txt", local_now, roots.has_outbox, lambda text: shop.public(text))
    shop = Shop(settings=settings, journal=journal, log=log, roots=roots, pauses=Pauses(log.add), rebuilding=rebuilding)
    return shop


def _drop_links(state: Path) -> None:
    """Remove links from the program's own folder, which lies where others may write unless the settings say otherwise.

    The program's log is appended to, and what it tells holds names of files: nothing of it goes anywhere else.
    """
    for one in filter(Path.is_symlink, state.iterdir()):
        remove_file(one)


def _say_of_journal(error: sqlite3.Error, state: Path) -> str:
    """Why the journal cannot be opened, for people: it itself does not say which right or limit stands in the way."""
    if not os.access(state, os.W_OK | os.X_OK):
        return say_trouble(PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(state / "journal")))
    return f"the notes of what was made cannot be opened: {error}{low_limits()}"


def open_making(shop: Shop, *, once: bool) -> Making:
    """Make what orders are made with: workers, the orders that wait for gang runs, and how much memory there is.

    Args:
        shop: what the parts of the service share.
        once: what is complete is made now; nothing waits for others to share a sheet.
    """
    service = shop.settings.service
    machine = this_machine()
    return Making(
        shop=shop,
        workers=workers_for(service, machine),
        runs=Runs(shop=shop, pool=Pool(in_haste=once)),
        journal=JournalWriting(shop),
        budget=MemoryBudget(machine.memory_bytes, shop.archive) if is_local(service) else None,
    )
