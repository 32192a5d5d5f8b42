"""A word to systemd, as sd_notify(3) and sd_watchdog_enabled(3) describe it."""

import os
import socket
from pathlib import Path

import pytest

from watcher.service.systemd import tell, watchdog_s


@pytest.fixture
def heard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """A supervisor's end of the socket."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as listens:
        listens.bind(str(tmp_path / "notify"))
        listens.settimeout(5)
        monkeypatch.setenv("NOTIFY_SOCKET", str(tmp_path / "notify"))
        yield listens


@pytest.mark.parametrize("message", ["READY=1", "WATCHDOG=1", "STOPPING=1", "STATUS=50 cards, Frühling"])
def test_a_message_is_one_datagram(heard, message):
    tell(message)
    assert heard.recv(1000) == message.encode()


def test_an_address_with_an_at_sign_is_abstract(monkeypatch):
    """sd_notify(3): a leading @ stands for the NUL of an abstract socket."""
    name = f"print-folder-test-{os.getpid()}"
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as listens:
        listens.bind(f"\0{name}")
        listens.settimeout(5)
        monkeypatch.setenv("NOTIFY_SOCKET", f"@{name}")
        tell("READY=1")
        assert listens.recv(100) == b"READY=1"


def test_without_a_supervisor_nothing_is_sent(heard, monkeypatch):
    monkeypatch.delenv("NOTIFY_SOCKET")
    tell("READY=1")
    heard.setblocking(False)
    with pytest.raises(BlockingIOError):
        heard.recv(100)


@pytest.mark.parametrize("address", ["/nowhere/at/all", "", "/" + "x" * 200, "vsock:2:1234"])
def test_a_supervisor_that_is_gone_stops_nothing(monkeypatch, address):
    monkeypatch.setenv("NOTIFY_SOCKET", address)
    tell("READY=1")


def _watchdog(monkeypatch, usec: str | None, pid: str | None) -> float | None:
    for name, value in (("WATCHDOG_USEC", usec), ("WATCHDOG_PID", pid)):
        monkeypatch.delenv(name, raising=False)
        if value is not None:
            monkeypatch.setenv(name, value)
    return watchdog_s()


def test_the_period_is_told_in_seconds(monkeypatch):
    assert _watchdog(monkeypatch, "30000000", str(os.getpid())) == 30.0
    assert _watchdog(monkeypatch, "1500000", None) == 1.5


def test_a_period_for_another_process_is_not_ours(monkeypatch):
    """A child inherits the variables; WATCHDOG_PID says whom they are for."""
    assert _watchdog(monkeypatch, "30000000", str(os.getpid() + 1)) is None


@pytest.mark.parametrize("usec", [None, "", "0", "-5", "soon", "1.5", "²"])
def test_without_a_sound_period_there_is_none(monkeypatch, usec):
    """0 would be a busy loop."""
    assert _watchdog(monkeypatch, usec, None) is None
