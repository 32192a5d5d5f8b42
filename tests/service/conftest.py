"""A service with orders taken and none begun, so that a test carries out one action of an order's life by hand."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from watcher.archive.rebuilding import Rebuilding
from watcher.commands.at_work import service_for
from watcher.records.journal import open_journal
from watcher.records.log import EventLog
from watcher.records.timestamps import local_now
from watcher.service.life.cases import OrderCase, case_of
from watcher.service.life.making import Making
from watcher.service.loop import Service
from watcher.service.pauses import Pauses
from watcher.service.roots import Roots
from watcher.service.shop import Shop
from watcher.settings.load import load_settings


@pytest.fixture
def service(print_folder: Path, inline_workers: None) -> Iterator[Service]:
    """A service on an empty print folder, started."""
    started = service_for(load_settings(print_folder / "settings.toml"), once=False, to_screen=False)
    started.start()
    yield started
    started.stop()


@pytest.fixture
def making(service: Service) -> Making:
    """What its actions are carried out with."""
    return service.making


@pytest.fixture
def taken(service: Service, draw_card: Callable[..., Path], monkeypatch: pytest.MonkeyPatch) -> OrderCase:
    """An order of a front and a back that was taken out of the inbox, and out of the queue, as its turn has come."""
    for side in ("front", "back"):
        draw_card(service.shop.inbox / f"lantern_{side}.png", word=side)
    with monkeypatch.context() as patch:
        patch.setattr(service.scheduling, "_give_all", lambda: None)
        for now in range(100):
            if not service.making.queue:
                service.step(now * 10.0)
    (order,) = service.making.queue
    service.making.queue.take(order)
    return case_of(order)


@pytest.fixture
def shop(print_folder: Path, nothing_flushed: None) -> Iterator[Shop]:
    """A print folder's shared parts, as the service makes them at its start, without a service."""
    settings = load_settings(print_folder / "settings.toml")
    folders = settings.folders
    for folder in (folders.outbox, folders.held, folders.archive, folders.state):
        folder.mkdir()
    roots, journal = Roots(folders), open_journal(folders.state)
    log = EventLog(folders.outbox / "log.txt", local_now, roots.has_outbox)
    rebuilding = Rebuilding(journal, folders)
    yield Shop(settings=settings, journal=journal, log=log, roots=roots, pauses=Pauses(log.add), rebuilding=rebuilding)
    rebuilding.close()
    journal.close()
