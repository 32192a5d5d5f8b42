"""A service driven by hand with a clock of its own, small disks that fill up, drives that come and go."""

import errno
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.small_pictures import show_nothing, tell_nothing
from watcher.commands.at_work import service_for
from watcher.service.loop import Service
from watcher.settings.load import load_settings

LIMIT_S = 60.0


class Driven:
    """One print folder whose service takes a step when the test says so.

    Args:
        folder: the print folder.
        clock: what the service takes for the steady clock.
    """

    def __init__(self, folder: Path, clock: SimpleNamespace) -> None:
        self.folder, self._clock = folder, clock
        self.service: Service

    def start(self) -> None:
        self.service = service_for(load_settings(self.folder / "settings.toml"), once=False, to_screen=False)
        self.service.start()

    def step(self, seconds: float = 1.0) -> None:
        """Let time pass, and let the service do what it does then."""
        self._clock.now += seconds
        self.service.step(self._clock.now)

    def step_until_begun(self) -> None:
        """Until a worker has done its work and nobody has looked at it."""
        while not self.service.making.has_busy_worker:
            self.step()

    def take_without_making(self) -> None:
        """One look at the inbox whose orders are queued and not given to a worker."""
        scheduling = self.service.scheduling
        give_all, scheduling._give_all = scheduling._give_all, lambda: None
        while not self.service.making.queue:
            self.step()
        scheduling._give_all = give_all

    def go_on(self, seconds: float = 300.0) -> None:
        """Let so much time pass, a second or five at a time, or less when nothing is left to do after two looks."""
        begin = self._clock.now
        while self._clock.now < begin + seconds:
            self.step(1.0 if seconds <= 60 else 5.0)
            if self._clock.now > begin + 12 and not (self._is_busy or self.inbox):
                break

    @property
    def _is_busy(self) -> bool:
        service = self.service
        return bool(service.making.paused or service.trouble) or not service.scheduling.is_idle

    @property
    def inbox(self) -> list[str]:
        """The files in the inbox."""
        return self._files("inbox")

    def _files(self, part: str) -> list[str]:
        folder = self.folder / part
        return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())

    @property
    def orders(self) -> list[str]:
        """The orders in the outbox."""
        return sorted(path.name for path in (self.folder / "outbox").glob("[!.]*") if path.is_dir())

    @property
    def held(self) -> list[str]:
        return sorted(path.name for path in (self.folder / "held").iterdir())

    @property
    def log(self) -> list[str]:
        """What the log for people says, without the times."""
        file = self.folder / "outbox/log.txt"
        lines = file.read_text().splitlines() if file.exists() else []
        assert all(line[:2] == "20" and line[19:21] == "  " for line in lines), lines
        return [line[21:] for line in lines]

    @property
    def pauses(self) -> list[str]:
        """The first word of each line about a pause."""
        return [line.partition(":")[0] for line in self.log if line.startswith(("paused", "going on"))]

    def left_lying(self) -> list[str]:
        """Temporary files and folders of ours."""
        return [
            str(path.relative_to(self.folder))
            for part in ("inbox", "outbox", "held", "archive")
            for path in (self.folder / part).rglob("*")
            if path.name.startswith(".")
        ]


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    """The steady clock by which the service waits."""
    clock = SimpleNamespace(now=time.monotonic())
    monkeypatch.setattr("watcher.service.pauses.time", SimpleNamespace(monotonic=lambda: clock.now))
    return clock


@pytest.fixture
def driven(
    print_folder: Path, inline_workers: None, clock: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Driven]:
    """A service that is not started yet; it is stopped after the test."""
    # most of the time would go into small print, pictures and a page that say nothing about faults
    show_nothing(monkeypatch)
    tell_nothing(monkeypatch)
    settings = print_folder / "settings.toml"
    text = settings.read_text().replace("[service]", '[service]\nrescan = "5 s"')
    settings.write_text(text.replace('size = "letter"', 'size = "letter"\nslug = false'))
    driven = Driven(print_folder, clock)
    yield driven
    if hasattr(driven, "service") and hasattr(driven.service, "making"):
        driven.service.stop()


# -- disks -------------------------------------------------------------------------------------------------------------


class Disk:
    """A small disk of its own, mounted at a folder.

    Args:
        folder: where.
        size: how much it holds, as mount(8) takes it.
    """

    def __init__(self, folder: Path, size: str = "2m") -> None:
        self.folder, self._size = folder, size
        self.mount()

    def mount(self) -> None:
        self.folder.mkdir(parents=True, exist_ok=True)
        _run("mount", "-t", "tmpfs", "-o", f"size={self._size}", "tmpfs", str(self.folder))

    def unmount(self) -> None:
        _run("umount", str(self.folder))

    def move_to(self, place: Path) -> None:
        """Take the drive away without losing what is on it: it is there again after `move_to` its folder."""
        place.mkdir(exist_ok=True)
        _run("mount", "--move", str(self.folder), str(place))
        self.folder = place

    def lock(self) -> None:
        """Nothing may be written to it any more."""
        _run("mount", "-o", "remount,ro", str(self.folder))

    def unlock(self) -> None:
        _run("mount", "-o", "remount,rw", str(self.folder))

    def fill(self, but: int = 0) -> None:
        """Use up its room, but for some bytes."""
        room = shutil.disk_usage(self.folder).free - but
        with (self.folder / "filler.tmp").open("ab") as filler:
            os.posix_fallocate(filler.fileno(), filler.tell(), room)

    def make_room(self) -> None:
        (self.folder / "filler.tmp").unlink()


def _run(*command: str) -> None:
    subprocess.run(command, check=True, capture_output=True)


@pytest.fixture
def disk() -> Iterator[Callable[..., Disk]]:
    """Mount small disks; skips where that is not allowed."""
    made: list[Disk] = []

    def mount(folder: Path, size: str = "2m") -> Disk:
        try:
            made.append(Disk(folder, size))
        except (OSError, subprocess.CalledProcessError) as error:
            pytest.skip(f"no disk may be mounted here: {error}")
        return made[-1]

    yield mount
    for one in made:
        subprocess.run(["umount", "--lazy", str(one.folder)], capture_output=True)


@pytest.fixture
def failing(monkeypatch: pytest.MonkeyPatch) -> Callable[..., SimpleNamespace]:
    """Have a function fail from its n-th call on, until `mend()`."""

    def fail(where: object, name: str, at: int, number: int = errno.ENOSPC) -> SimpleNamespace:
        real = getattr(where, name)
        state = SimpleNamespace(calls=0, broken=True)

        def call(*arguments: object, **named: object) -> object:
            state.calls += 1
            if state.broken and state.calls >= at:
                raise OSError(number, os.strerror(number))
            return real(*arguments, **named)

        monkeypatch.setattr(where, name, call)
        state.mend = lambda: setattr(state, "broken", False)
        return state

    return fail


# -- the real command --------------------------------------------------------------------------------------------------


class Running:
    """`print-folder run` as a process of its own.

    Args:
        folder: the print folder.
        state: where its state lies.
    """

    def __init__(self, folder: Path, state: Path) -> None:
        self.folder, self._state = folder, state
        command = [sys.executable, "-m", "watcher", "run", "--settings", str(folder / "settings.toml")]
        self.process = subprocess.Popen(command, stderr=subprocess.DEVNULL)

    def wait_for(self, condition: Callable[[], bool], what: str, most_s: float = LIMIT_S) -> None:
        end = time.monotonic() + most_s
        while not condition():
            assert self.process.poll() is None, f"the service ended before {what}"
            assert time.monotonic() < end, f"waited {most_s} s for {what}"
            time.sleep(0.02)

    def says(self, words: str) -> bool:
        log = self._state / "service.log"
        return log.exists() and words in log.read_text()

    def ticks(self) -> int:
        """Its processor time and that of its workers, in ticks of the kernel."""
        family = [self.process.pid, *self._children()]
        return sum(_ticks(pid) for pid in family)

    def _children(self) -> list[int]:
        listed = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children")
        return [int(pid) for pid in listed.read_text().split()]

    def stop(self, most_s: float = LIMIT_S) -> int:
        self.process.terminate()
        return self.process.wait(most_s)


def _ticks(pid: int) -> int:
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return 0
    return int(fields[11]) + int(fields[12])


@pytest.fixture
def running(print_folder: Path) -> Iterator[Callable[..., Running]]:
    """Start the service; whatever runs at the end of the test is ended."""
    started: list[Running] = []

    def start(state: Path = print_folder / "state") -> Running:
        started.append(Running(print_folder, state))
        started[-1].wait_for(lambda: started[-1].says("at work on"), "it was at work")
        return started[-1]

    yield start
    for one in started:
        one.process.kill()
        one.process.wait()
