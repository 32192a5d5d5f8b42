"""Events that do not come: a lost queue, a dead thread, another folder in the place. The rescan finds everything."""

import logging
import shutil
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

Drop = Callable[..., None]
LIMIT_S = 100.0  # in real time, for an event to come: as long as a test may take; nothing else waits by the clock


@pytest.fixture
def watched(driven):
    """The service with the system's own events, and a rescan once an hour; gives the driver."""
    settings = driven.folder / "settings.toml"
    text = settings.read_text().replace('events = "polling"', 'events = "native"')
    settings.write_text(text.replace('rescan = "5 s"', 'rescan = "1 h"'))
    driven.start()
    driven.go_on(20)
    return driven


def heard(driven) -> bool:
    """Whether a hint comes: nothing but an event wakes the service within the time."""
    return bool(driven.service._hint.poll(LIMIT_S))


def be_deaf(driven) -> None:
    """Take all hints that have come."""
    while driven.service._hint.poll():
        driven.service._hint.recv_bytes()


def observer(driven) -> threading.Thread:
    return driven.service._watch._observer


def check_the_rescan_finds_it_and_events_come_again(driven, drop_pair: Drop) -> None:
    drop_pair(driven.folder / "inbox")
    driven.step(3600)
    driven.go_on(20)
    assert driven.orders == ["lantern"]
    be_deaf(driven)
    drop_pair(driven.folder / "inbox", "comet")
    assert heard(driven)


def test_an_event_wakes_the_service_long_before_the_rescan(watched, drop_pair: Drop) -> None:
    be_deaf(watched)
    drop_pair(watched.folder / "inbox")
    assert heard(watched)
    watched.service.wait()  # takes the hint
    watched.go_on(1800)  # by the service's own clock, on which the rescan is an hour away
    assert watched.orders == ["lantern"]


@pytest.mark.parametrize("part", ["observer", "emitter"])
def test_a_dead_thread_is_replaced_and_the_rescan_finds_what_it_missed(watched, drop_pair: Drop, part: str) -> None:
    thread = observer(watched) if part == "observer" else next(iter(observer(watched).emitters))
    thread.stop()
    thread.join(LIMIT_S)
    be_deaf(watched)
    check_the_rescan_finds_it_and_events_come_again(watched, drop_pair)


def test_an_inbox_replaced_by_another_is_watched_from_the_next_rescan_on(watched, drop_pair: Drop) -> None:
    (watched.folder / "inbox").rename(watched.folder / "old")
    (watched.folder / "inbox").mkdir()
    check_the_rescan_finds_it_and_events_come_again(watched, drop_pair)


def test_an_inbox_deleted_and_made_again_is_watched_again(watched, drop_pair: Drop) -> None:
    shutil.rmtree(watched.folder / "inbox")
    watched.step(3600)
    assert "the folder inbox is missing" in watched.service.trouble
    (watched.folder / "inbox").mkdir()
    watched.go_on(200)
    be_deaf(watched)
    drop_pair(watched.folder / "inbox")
    assert heard(watched)


def test_a_drive_mounted_over_the_inbox_is_watched_from_the_next_rescan_on(watched, disk, drop_pair: Drop) -> None:
    """No event tells of a mount. Source: tried out with watchdog 7.1 on Linux."""
    disk(watched.folder / "inbox")
    check_the_rescan_finds_it_and_events_come_again(watched, drop_pair)


def test_a_queue_that_ran_over_calls_for_a_look(watched, drop_pair: Drop) -> None:
    """The library says in its log alone that events were lost. Source: read in watchdog 7.1."""
    be_deaf(watched)
    logging.getLogger("watchdog.observers.inotify").warning("Inotify queue overflowed; events were lost")
    assert heard(watched)


def test_events_that_never_come_are_not_missed(watched, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(watched.service._watch._hint, "_on_hint", lambda: None)
    drop_pair(watched.folder / "inbox")
    watched.step(1800)
    assert watched.orders == []
    watched.step(1900)
    watched.go_on(20)
    assert watched.orders == ["lantern"]


def test_while_nothing_can_be_taken_our_own_vain_tries_wake_nobody(
    watched, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Files that are moved out and back make events; each would call for the next try at once."""
    real = Path.rename

    def rename(self: Path, target: Path) -> Path:
        if self.name == "lantern_front.png" and "archive" in str(target):
            raise PermissionError(1, "not permitted", str(self))
        return real(self, target)

    monkeypatch.setattr(Path, "rename", rename)
    drop_pair(watched.folder / "inbox")
    watched.step(3600)
    assert watched.service.trouble
    assert heard(watched)  # by what was put back
    watched.service.wait()
    assert watched.service._look_at > watched._clock.now + 1
