"""A print folder's shared parts, as the service makes them at its start, without a service."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from watcher.records.journal import open_journal
from watcher.records.log import EventLog
from watcher.records.moments import local_now
from watcher.service.pauses import Pauses
from watcher.service.roots import Roots
from watcher.service.shop import Shop
from watcher.settings.load import load_settings


@pytest.fixture
def shop(print_folder: Path) -> Iterator[Shop]:
    settings = load_settings(print_folder / "settings.toml")
    folders = settings.folders
    for folder in (folders.outbox, folders.held, folders.archive, folders.state):
        folder.mkdir()
    roots, journal = Roots(folders), open_journal(folders.state)
    log = EventLog(folders.outbox / "log.txt", local_now, roots.has_outbox)
    yield Shop(settings=settings, journal=journal, log=log, roots=roots, pauses=Pauses(log.add))
    journal.close()
