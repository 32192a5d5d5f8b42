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

from tests.conftest import SETTINGS
from tests.run_command import run_command

LIMIT_S = 60.0


def wait_for(condition: Callable[[], bool], what: str) -> None:
    end = time.monotonic() + LIMIT_S
    while not condition():
        assert time.monotonic() < end, f"waited {LIMIT_S} s for {what}"
        time.sleep(0.02)


def begin(print_folder: Path, **environment: str) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "watcher", "run", "--settings", str(print_folder / "settings.toml")]
    return subprocess.Popen(command, env={**os.environ, **environment}, stderr=subprocess.DEVNULL)


def end(process: subprocess.Popen[bytes]) -> None:
    process.kill()
    process.wait()


@pytest.fixture
def start(print_folder: Path) -> Iterator[Callable[..., subprocess.Popen[bytes]]]:
    """Start `print-folder run` on the print folder, where nothing is looked at by sight; ended after the test."""
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace("[service]", "[service]\nread_back = false"))
    started: list[subprocess.Popen[bytes]] = []

    def start(**environment: str) -> subprocess.Popen[bytes]:
        started.append(begin(print_folder, **environment))
        return started[-1]

    yield start
    for process in started:
        end(process)


@pytest.fixture(scope="module")
def idle(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, subprocess.Popen[bytes]]]:
    """A print folder in which nothing lies, and the service that is at work on it, for several tests."""
    folder = tmp_path_factory.mktemp("idle")
    (folder / "inbox").mkdir()
    (folder / "settings.toml").write_text(SETTINGS)
    native_events(folder)
    process = begin(folder)
    wait_for(lambda: is_running(folder), "the service to be at work")
    yield folder, process
    end(process)


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


def test_it_stops_cleanly_when_interrupted(print_folder: Path, start: Callable[..., subprocess.Popen[bytes]]) -> None:
    """When it is terminated: see below, where its supervisor asks for that."""
    process = start()
    wait_for(lambda: is_running(print_folder), "the service to be at work")
    process.send_signal(signal.SIGINT)
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
    idle: tuple[Path, object], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, said = run_command(monkeypatch, capsys, "once", "--settings", idle[0] / "settings.toml")
    assert code == 3
    assert said.count("\n") == 1
    assert "Another print-folder is at work" in said


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


def test_it_sleeps_when_there_is_nothing_to_do(idle: tuple[object, subprocess.Popen[bytes]]) -> None:
    """Its processor time stands still while it is idle; counted in scheduler ticks of the kernel."""
    stat = "/proc/{}/stat"
    if not Path(stat.format(os.getpid())).exists():
        pytest.skip("this system shows no processor time under /proc")
    process = idle[1]

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
    for number in range(2):
        drop_pair(print_folder / "inbox", f"order{number}", colour=f"#{number}{number}8888")
    process = start()
    wait_for(lambda: any((print_folder / "archive").glob(".taking-*.json")), "an order to be taken")
    process.kill()
    process.wait()
    start()
    done = [print_folder / f"outbox/order{number}/order{number}_ticket.toml" for number in range(2)]
    wait_for(lambda: all(file.exists() for file in done), "all orders to be made")
    wait_for(lambda: not list((print_folder / "archive").glob(".taking-*")), "the left-overs to be gone")
    assert sorted(path.name for path in (print_folder / "outbox").iterdir() if path.is_dir()) == [
        f"order{number}" for number in range(2)
    ]
