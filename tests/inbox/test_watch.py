"""Hints from a real folder; waits are for events, never for a time."""

import errno
import logging
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from loguru import logger

from watcher.inbox import watch as watch_module
from watcher.inbox.watch import FolderWatch, InboxWatch

SOON_S = 10.0


class _Hints:
    """Counts hints and lets a test wait for the next one."""

    def __init__(self) -> None:
        self.came = threading.Event()
        self.count = 0

    def __call__(self) -> None:
        self.count += 1
        self.came.set()

    def wait(self) -> bool:
        return self.came.wait(SOON_S)


@pytest.fixture
def hints() -> _Hints:
    return _Hints()


@pytest.fixture
def inbox(tmp_path: Path) -> Path:
    inbox = tmp_path / "inbox"
    (inbox / "invitation").mkdir(parents=True)
    return inbox


@pytest.fixture
def watch(inbox, hints):
    watch = InboxWatch(inbox, hints)
    watch.start()
    yield watch
    watch.stop()


@pytest.fixture
def said():
    lines: list[str] = []
    sink = logger.add(lambda line: lines.append(str(line)), format="{message}", level="INFO")
    yield lines
    logger.remove(sink)


def _rename_in(inbox: Path) -> None:
    (inbox.parent / "made-elsewhere.png").write_bytes(b"art")
    (inbox.parent / "made-elsewhere.png").rename(inbox / "a.png")


DROPS = {
    "written": lambda inbox: (inbox / "a.png").write_bytes(b"art"),
    "renamed in": _rename_in,
    "into a card's folder": lambda inbox: (inbox / "invitation" / "a.png").write_bytes(b"art"),
    "a folder": lambda inbox: (inbox / "returned").mkdir(),
    "a folder renamed": lambda inbox: (inbox / "invitation").rename(inbox / "invitation ok"),
}


@pytest.mark.parametrize("drop", DROPS.values(), ids=DROPS.keys())
def test_what_is_dropped_makes_a_hint(watch, inbox, hints, drop):
    assert watch.check(0.0)
    drop(inbox)
    assert hints.wait()


def test_a_deleted_file_makes_a_hint(inbox, hints):
    (inbox / "a.png").write_bytes(b"art")
    watch = InboxWatch(inbox, hints)
    watch.start()
    (inbox / "a.png").unlink()
    assert hints.wait()
    watch.stop()


def test_reading_a_file_makes_no_hint(inbox, hints):
    """Else every look would call for the next one. A file made after the reading marks the end of the waiting."""
    (inbox / "a.png").write_bytes(b"art")
    order: list[str] = []
    watch = InboxWatch(inbox, lambda: (order.append("hint"), hints()))
    watch.start()
    for _ in range(20):
        (inbox / "a.png").read_bytes()
        list(inbox.iterdir())
    order.append("read")
    (inbox / "b.png").touch()
    assert hints.wait()
    watch.stop()
    assert order[0] == "read"


def test_an_inbox_that_is_a_link_is_watched(inbox, hints, tmp_path):
    (tmp_path / "link").symlink_to(inbox)
    watch = InboxWatch(tmp_path / "link", hints)
    watch.start()
    (inbox / "a.png").write_bytes(b"art")
    assert hints.wait()
    assert watch.check(0.0)
    watch.stop()


def test_a_hint_that_fails_does_not_end_the_hints(inbox, said):
    calls: list[int] = []
    twice = threading.Event()

    def failing() -> None:
        calls.append(1)
        if len(calls) > 1:
            twice.set()
        raise ValueError("broken")

    watch = InboxWatch(inbox, failing)
    watch.start()
    (inbox / "a.png").mkdir()
    (inbox / "b.png").mkdir()
    assert twice.wait(SOON_S)
    assert watch.check(0.0)
    watch.stop()


def test_a_missing_inbox_is_no_crash_and_is_watched_when_it_comes(tmp_path, hints, said):
    watch = InboxWatch(tmp_path / "inbox", hints)
    watch.start()
    assert [watch.check(now) for now in (0.0, 1.0, 3.0)] == [False, False, False]
    assert len([line for line in said if "is missing" in line]) == 1
    (tmp_path / "inbox").mkdir()
    assert not watch.check(3.5)  # not yet time for another try
    assert watch.check(60.0)
    assert hints.came.is_set()  # what lies there already is looked at
    watch.stop()


@pytest.mark.parametrize(
    ("number", "limit"), [(errno.EMFILE, "max_user_instances"), (errno.ENOSPC, "max_user_watches")]
)
def test_which_limit_of_the_system_is_reached_is_said(inbox, hints, monkeypatch, number, limit):
    """inotify(7), errors of inotify_init (EMFILE) and inotify_add_watch (ENOSPC)."""
    told: list[str] = []

    def refused():
        raise OSError(number, "refused")

    monkeypatch.setattr(watch_module, "Observer", refused)
    watch = InboxWatch(inbox, hints, told.append)
    watch.start()
    watch.stop()
    assert f"fs.inotify.{limit}" in told[0]


def test_without_a_free_instance_of_the_system_it_says_so_once_and_watches_when_there_is_one(inbox, hints, monkeypatch):
    """The library fails as soon as it is asked for: as tried out with all instances of this machine in use."""
    told: list[str] = []
    real = watch_module.Observer

    def refused():
        raise OSError(errno.EMFILE, "inotify instance limit reached")

    monkeypatch.setattr(watch_module, "Observer", refused)
    watch = InboxWatch(inbox, hints, told.append)
    watch.start()
    assert [watch.check(now) for now in (0.0, 1.0, 3.0)] == [False, False, False]
    assert len(told) == 1
    assert "fs.inotify.max_user_instances" in told[0]
    monkeypatch.setattr(watch_module, "Observer", real)
    assert watch.check(60.0)
    assert told[1:] == ["this computer tells of new files again"]
    watch.stop()


def test_tries_grow_rarer_up_to_each_minute(tmp_path, hints, monkeypatch):
    watch = InboxWatch(tmp_path / "inbox", hints)
    tries: list[float] = []
    monkeypatch.setattr(watch, "_begin", lambda: bool(tries.append(now)))
    for now in range(300):
        watch.check(float(now))
    gaps = [later - sooner for sooner, later in zip(tries, tries[1:], strict=False)]
    assert gaps[:7] == [1, 2, 4, 8, 16, 32, 60]
    assert set(gaps[7:]) == {60}


def test_an_inbox_replaced_by_another_folder_is_noticed_and_watched(watch, inbox, hints):
    inbox.rename(inbox.with_name("old"))
    inbox.mkdir()
    hints.came.clear()
    assert watch.check(100.0)
    assert hints.wait()  # the new folder is looked at once
    hints.came.clear()
    (inbox / "a.png").write_bytes(b"art")
    assert hints.wait()


def test_an_inbox_that_is_deleted_is_noticed(watch, inbox):
    (inbox / "invitation").rmdir()
    inbox.rmdir()
    assert not watch.check(100.0)


def test_a_watching_thread_that_died_is_replaced(watch, inbox, hints):
    watch._observer.stop()
    watch._observer.join(SOON_S)
    assert watch.check(100.0)
    hints.came.clear()
    (inbox / "a.png").write_bytes(b"art")
    assert hints.wait()


def test_lost_events_are_told_in_the_log_and_are_a_hint(watch, hints, said):
    logging.getLogger("watchdog.observers.inotify").warning("Inotify queue overflowed; %s\nforged", "events were lost")
    assert hints.came.is_set()
    assert [line.strip() for line in said] == [
        "Watching the inbox: Inotify queue overflowed; events were lost\\nforged"
    ]


def test_no_thread_and_no_log_sink_is_left_over(inbox, hints):
    before = set(threading.enumerate())
    watch = InboxWatch(inbox, hints)
    watch.start()
    watch.stop()
    watch.stop()
    assert [thread for thread in threading.enumerate() if thread not in before and thread.is_alive()] == []
    assert logging.getLogger("watchdog").handlers == []


class TestTheWatchOfFolders:
    @pytest.fixture
    def watch(self, inbox: Path, hints: _Hints) -> Iterator[FolderWatch]:
        started = FolderWatch(inbox, hints)
        started.start()
        yield started
        started.stop()

    def test_a_renamed_folder_is_a_hint(self, watch: FolderWatch, inbox: Path, hints: _Hints) -> None:
        (inbox / "invitation").rename(inbox / "invitation print")
        assert hints.wait()

    def test_a_file_is_none(self, watch: FolderWatch, inbox: Path, hints: _Hints) -> None:
        """Its own log and page lie there; their lines must not wake the service."""
        (inbox / "log.txt").write_text("x")
        (inbox / "log.txt").rename(inbox / "log")
        (inbox / "new").mkdir()
        assert hints.wait()
        assert hints.count == 1

    def test_a_folder_that_cannot_be_watched_is_no_error(self, tmp_path: Path, hints: _Hints) -> None:
        watch = FolderWatch(tmp_path / "gone", hints)
        watch.start()
        watch.stop()
