"""The real service while it cannot go on: one line at the beginning, one at the end, and next to no processor time."""

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.long_form import LONG

Drop = Callable[..., None]
MEASURED_S = 2.0
WINDOWS = 3
SOON_S = 20.0  # a third of the longest time between two tries
TICKS_A_SECOND = os.sysconf("SC_CLK_TCK") if hasattr(os, "sysconf") else 100
LEAST_TICKS = 3  # the kernel counts in ticks of 10 ms

pytestmark = pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="processor time is read from /proc")


@pytest.fixture
def restless(print_folder: Path) -> None:
    """Settings that ask for no waiting at all, with the system's events."""
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace('events = "polling"', 'events = "native"\nrescan = "0 s"'))


def status(folder: Path) -> str:
    command = [sys.executable, "-m", "watcher", "status", "--settings", str(folder / "settings.toml")]
    return subprocess.run(command, capture_output=True, text=True, timeout=60).stdout


def lines_about_pauses(folder: Path) -> list[str]:
    lines = (folder / "outbox/log.txt").read_text().splitlines()
    return [line[21:].partition(":")[0] for line in lines if line[21:].startswith(("paused", "going on"))]


def assert_paused_once(service) -> None:
    """As its log for people says: there each line is written after that in service.log, and flushed to the disk."""
    service.wait_for(lambda: "going on" in lines_about_pauses(service.folder), "the end of the pause")
    assert lines_about_pauses(service.folder) == ["paused", "going on"]


def assert_rests(service) -> None:
    """It takes less than a fiftieth of the time of one processor while it waits.

    Measured from when it has come to rest: after the pause was said the status page is still to be written. A vain try,
    5, 10, 20 s after the one before, takes a worker's time: of three windows in a row one lies between two tries.
    """
    seen: list[int] = []

    def has_come_to_rest() -> bool:
        seen.append(service.ticks())
        time.sleep(0.2)
        return service.ticks() == seen[-1]

    service.wait_for(has_come_to_rest, "it rested")
    most = max(LEAST_TICKS, TICKS_A_SECOND * MEASURED_S / 50)
    used: list[int] = []
    while not used or (used[-1] > most and len(used) < WINDOWS):
        used.append(ticks_in_a_window(service))
    assert used[-1] <= most, f"{used} ticks in {MEASURED_S} s each"


def ticks_in_a_window(service) -> int:
    before, end = service.ticks(), time.monotonic() + MEASURED_S
    while time.monotonic() < end:
        assert service.process.poll() is None
        time.sleep(0.05)
    return service.ticks() - before


def assert_delivered(service, *names: str) -> None:
    outbox = service.folder / "outbox"
    service.wait_for(lambda: all((outbox / name / f"{name}_ticket.toml").exists() for name in names), "the sheets")
    service.wait_for(lambda: not list((service.folder / "archive").glob(".taking-*")), "the end of the deliveries")
    assert sorted(path.name for path in outbox.glob("[!.]*") if path.is_dir()) == sorted(names)


def test_a_full_outbox(print_folder: Path, restless: None, running, disk, drop_pair: Drop) -> None:
    outbox = disk(print_folder / "outbox")
    service = running()
    outbox.fill(but=20_000)
    drop_pair(print_folder / "inbox")
    service.wait_for(lambda: service.says("paused: the disk is full"), "the pause")
    assert_rests(service)
    assert "Paused: the disk is full" in status(print_folder)
    outbox.make_room()
    assert_delivered(service, "lantern")
    assert_paused_once(service)
    assert service.stop() == 0
    assert "Paused" not in status(print_folder)


@pytest.mark.skipif(not LONG, reason="the long form: PRINT_FOLDER_LONG=1")
@pytest.mark.parametrize("part", ["inbox", "outbox", "archive", "held"])
def test_a_missing_folder(print_folder: Path, restless: None, running, drop_pair: Drop, part: str) -> None:
    service = running()
    (print_folder / part).rename(print_folder / "away")
    if part != "inbox":
        drop_pair(print_folder / "inbox")
    service.wait_for(lambda: service.says(f"paused: the folder {part} is missing"), "the pause")
    assert_rests(service)
    assert f"Paused: the folder {part} is missing" in status(print_folder)
    (print_folder / "away").rename(print_folder / part)
    if part == "inbox":
        drop_pair(print_folder / "inbox")
    assert_delivered(service, "lantern")
    assert_paused_once(service)


@pytest.mark.skipif(not LONG, reason="the long form: PRINT_FOLDER_LONG=1")
def test_an_archive_on_another_disk_that_is_full(
    print_folder: Path, restless: None, running, disk, drop_pair: Drop
) -> None:
    """Each vain try copies, moves and puts back files of the inbox, which makes events."""
    archive = disk(print_folder / "archive")
    service = running()
    archive.fill(but=12_288)
    drop_pair(print_folder / "inbox")
    service.wait_for(lambda: service.says("paused: the disk is full"), "the pause")
    assert_rests(service)
    archive.make_room()
    assert_delivered(service, "lantern")
    assert_paused_once(service)


@pytest.mark.skipif(not LONG, reason="the long form: PRINT_FOLDER_LONG=1")
def test_the_drive_of_the_whole_print_folder(
    print_folder: Path, restless: None, running, disk, drop_pair: Drop
) -> None:
    """All of it lies there but for the state, which must lie on the computer's own disk."""
    state = print_folder.parent / "state"
    settings = (print_folder / "settings.toml").read_text() + f'[folders]\nstate = "{state}"\n'
    shutil.rmtree(print_folder)
    drive = disk(print_folder)
    (print_folder / "settings.toml").write_text(settings)
    service = running(state)
    drive.move_to(print_folder.parent / "unplugged")
    service.wait_for(lambda: service.says("paused: the folder inbox is missing"), "the pause")
    assert_rests(service)
    assert list(print_folder.iterdir()) == []
    drive.move_to(print_folder)
    drop_pair(print_folder / "inbox")
    assert_delivered(service, "lantern")
    assert_paused_once(service)


def test_it_stops_at_once_when_asked_during_a_pause(
    print_folder: Path, restless: None, running, drop_pair: Drop
) -> None:
    service = running()
    (print_folder / "outbox").rename(print_folder / "away")
    drop_pair(print_folder / "inbox")
    service.wait_for(lambda: service.says("paused"), "the pause")
    assert service.stop(SOON_S) == 0
