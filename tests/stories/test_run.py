"""The service as a process of its own: starting, watching, stopping. Conditions are waited for, never a fixed time."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

LIMIT_S = 60.0


def wait_for(condition: Callable[[], bool], what: str) -> None:
    end = time.monotonic() + LIMIT_S
    while not condition():
        assert time.monotonic() < end, f"waited {LIMIT_S} s for {what}"
        time.sleep(0.02)


@pytest.fixture
def start(print_folder: Path) -> Iterator[Callable[..., subprocess.Popen[bytes]]]:
    """Start `print-folder run` on the print folder; whatever runs at the end of the test is ended."""
    started: list[subprocess.Popen[bytes]] = []

    def begin(**environment: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", "watcher", "run", "--settings", str(print_folder / "settings.toml")]
        process = subprocess.Popen(command, env={**os.environ, **environment}, stderr=subprocess.DEVNULL)
        started.append(process)
        return process

    yield begin
    for process in started:
        process.kill()
        process.wait()


def is_running(print_folder: Path) -> bool:
    log = print_folder / "state/service.log"
    return log.exists() and "at work on" in log.read_text()


def native_events(print_folder: Path) -> None:
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace('events = "polling"', 'events = "native"\nrescan = "1 h"'))


@pytest.mark.parametrize("events", ["native", "polling"])
def test_what_is_dropped_while_it_runs_is_made(
    print_folder: Path, start: Callable[..., object], drop_pair: Callable[..., None], events: str
) -> None:
    if events == "native":
        native_events(print_folder)
    else:
        file = print_folder / "settings.toml"
        file.write_text(file.read_text().replace('events = "polling"', 'events = "polling"\nrescan = "1 s"'))
    start()
    wait_for(lambda: is_running(print_folder), "the service to be at work")
    drop_pair(print_folder / "inbox")
    wait_for((print_folder / "outbox/lantern/lantern_sheets.pdf").exists, "the sheets")


def test_it_stops_cleanly_when_asked(print_folder: Path, start: Callable[..., subprocess.Popen[bytes]]) -> None:
    for number in (signal.SIGTERM, signal.SIGINT):
        (print_folder / "state/service.log").unlink(missing_ok=True)
        process = start()
        wait_for(lambda: is_running(print_folder), "the service to be at work")
        process.send_signal(number)
        assert process.wait(5) == 0


def test_it_finishes_the_order_in_hand_before_it_stops(
    print_folder: Path, start: Callable[..., subprocess.Popen[bytes]], drop_pair: Callable[..., None]
) -> None:
    drop_pair(print_folder / "inbox")
    process = start()
    wait_for(lambda: any((print_folder / "archive").glob(".taking-*")), "the order to be taken")
    wait_for(lambda: _is_making(print_folder), "the order to be in hand")
    process.send_signal(signal.SIGTERM)
    assert process.wait(30) == 0
    assert (print_folder / "outbox/lantern/lantern_sheets.pdf").exists()
    assert not list((print_folder / "archive").glob(".taking-*"))


def _is_making(print_folder: Path) -> bool:
    made = (print_folder / "outbox/lantern").exists()
    return made or any((print_folder / "archive").glob(".making-*"))


def test_a_second_instance_is_refused_with_one_line(
    print_folder: Path, start: Callable[..., subprocess.Popen[bytes]]
) -> None:
    start()
    wait_for(lambda: is_running(print_folder), "the service to be at work")
    command = [sys.executable, "-m", "watcher", "once", "--settings", str(print_folder / "settings.toml")]
    second = subprocess.run(command, capture_output=True, text=True, timeout=LIMIT_S)
    assert second.returncode == 3
    assert second.stderr.count("\n") == 1
    assert "Another print-folder is at work" in second.stderr


@pytest.mark.skipif(not hasattr(socket, "AF_UNIX"), reason="systemd talks over a UNIX socket")
def test_it_tells_its_supervisor_that_it_is_ready_alive_and_stopping(
    print_folder: Path, tmp_path: Path, start: Callable[..., subprocess.Popen[bytes]]
) -> None:
    """Source: sd_notify(3)."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as talk:
        talk.bind(str(tmp_path / "notify"))
        talk.settimeout(LIMIT_S)
        process = start(NOTIFY_SOCKET=str(tmp_path / "notify"))
        assert talk.recv(100) == b"READY=1"
        assert talk.recv(100) == b"WATCHDOG=1"
        process.terminate()
        heard = b""
        while heard != b"STOPPING=1":
            heard = talk.recv(100)
        assert process.wait(5) == 0


def test_it_sleeps_when_there_is_nothing_to_do(
    print_folder: Path, start: Callable[..., subprocess.Popen[bytes]]
) -> None:
    """Its processor time stands still while it is idle; counted in scheduler ticks of the kernel."""
    stat = "/proc/{}/stat"
    if not Path(stat.format(os.getpid())).exists():
        pytest.skip("this system shows no processor time under /proc")
    native_events(print_folder)
    process = start()
    wait_for(lambda: is_running(print_folder), "the service to be at work")

    def ticks() -> int:
        fields = Path(stat.format(process.pid)).read_text().rpartition(")")[2].split()
        return int(fields[11]) + int(fields[12])

    def settled() -> bool:
        before = ticks()
        return ticks() == before and _state(process.pid) == "S"

    wait_for(settled, "the service to fall asleep")
    before, end = ticks(), time.monotonic() + 1.0
    while time.monotonic() < end:
        time.sleep(0.1)
    assert ticks() - before <= 1


def _state(pid: int) -> str:
    return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]


def test_an_order_that_was_taken_when_the_service_was_killed_is_made_once_after_the_next_start(
    print_folder: Path, start: Callable[..., subprocess.Popen[bytes]], drop_pair: Callable[..., None]
) -> None:
    for number in range(6):
        drop_pair(print_folder / "inbox", f"order{number}", colour=f"#{number}{number}8888")
    process = start()
    wait_for(lambda: any((print_folder / "archive").glob(".taking-*.json")), "an order to be taken")
    process.kill()
    process.wait()
    start()
    done = [print_folder / f"outbox/order{number}/order{number}_ticket.toml" for number in range(6)]
    wait_for(lambda: all(file.exists() for file in done), "all orders to be made")
    wait_for(lambda: not list((print_folder / "archive").glob(".taking-*")), "the left-overs to be gone")
    assert sorted(path.name for path in (print_folder / "outbox").iterdir() if path.is_dir()) == [
        f"order{number}" for number in range(6)
    ]
