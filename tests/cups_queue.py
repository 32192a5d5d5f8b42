"""A printing system for tests: cupsd on loopback with folders of its own, and queues whose device notes its jobs."""

import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from socket import create_connection
from tempfile import TemporaryDirectory

import pytest

from tests.virtual_printer import free_port

PATH = "/usr/sbin:/usr/bin:/sbin:/bin"
CUPSD, LPADMIN = shutil.which("cupsd", path=PATH), shutil.which("lpadmin", path=PATH)
PARTS = Path("/usr/lib/cups")
needs_cups = pytest.mark.skipif(
    not (CUPSD and LPADMIN and PARTS.is_dir() and hasattr(os, "getuid") and os.getuid() == 0),
    reason="cupsd and lpadmin (Debian: cups-daemon, cups-client) are not there, or this is not root, which cupsd wants",
)
STARTS_WITHIN_S = 20

# A device that notes each job it is sent, whole, and fails as often as its own file says.
DEVICE = """#!/bin/sh
[ $# -eq 0 ] && { echo 'direct noting "Unknown" "noting"'; exit 0; }
{ if [ -n "$6" ]; then cat "$6"; else cat; fi; } > /dev/null
echo "$3" >> %(sent)s
[ "$(grep -cxF "$3" %(sent)s)" -gt "$(cat %(fails)s)" ]
"""
SETTINGS = """
Listen 127.0.0.1:%(port)d
WebInterface No
Browsing Off
JobRetryInterval 1
<Location />
  Order allow,deny
  Allow all
</Location>
<Policy default>
  JobPrivateAccess all
  JobPrivateValues none
  <Limit All>
    Order deny,allow
  </Limit>
</Policy>
"""


@dataclass(frozen=True, kw_only=True)
class PrintingSystem:
    """A cupsd that runs; `folder` is its own."""

    port: int
    folder: Path

    def add_queue(self, name: str, error_policy: str) -> str:
        """Set up a queue on the device that notes its jobs, and give its address."""
        self.command("lpadmin", "-p", name, "-v", "noting:/x", "-o", f"printer-error-policy={error_policy}", "-E")
        return f"ipp://127.0.0.1:{self.port}/printers/{name}"

    def command(self, *words: str) -> None:
        """Run a command of the printing system against it."""
        environment = {"CUPS_SERVER": f"127.0.0.1:{self.port}", "PATH": PATH, "HOME": str(self.folder)}
        subprocess.run(words, env=environment, check=True, capture_output=True, timeout=30)

    def fail(self, times: int) -> None:
        """Let the device fail so many times for each job."""
        (self.folder / "fails").write_text(f"{times}\n")

    def sent(self, job_name: str) -> int:
        """How often the device was sent a job."""
        return (self.folder / "sent").read_text().splitlines().count(job_name)


@contextmanager
def printing_system() -> Iterator[PrintingSystem]:
    """Run a cupsd of its own, in a folder that the user its devices run as can enter."""
    with TemporaryDirectory(prefix="printing-system-") as place:
        Path(place).chmod(0o755)
        system = PrintingSystem(port=free_port(), folder=Path(place))
        _write_folder(system)
        yield from _run(system)


def _run(system: PrintingSystem) -> Iterator[PrintingSystem]:
    assert CUPSD
    folder = system.folder
    words = [CUPSD, "-f", "-c", str(folder / "etc/cupsd.conf"), "-s", str(folder / "etc/cups-files.conf")]
    with (folder / "said").open("wb") as said:
        process = subprocess.Popen(words, stdout=said, stderr=said)
        try:
            _wait_for(system.port, process, folder)
            yield system
        finally:
            process.kill()
            process.wait()


def _write_folder(system: PrintingSystem) -> None:
    folder = system.folder
    for name in ("etc", "cache", "spool", "state", "bin/backend", "tmp"):
        (folder / name).mkdir(parents=True)
    for part in PARTS.iterdir():
        if part.name != "backend":
            (folder / "bin" / part.name).symlink_to(part)
    names = {"sent": folder / "sent", "fails": folder / "fails"}
    for file in names.values():
        file.touch()
        file.chmod(0o666)
    system.fail(0)
    device = folder / "bin/backend/noting"
    device.write_text(DEVICE % names)
    device.chmod(0o755)
    (folder / "etc/cupsd.conf").write_text(SETTINGS % {"port": system.port})
    places = {
        "ServerRoot": "etc", "CacheDir": "cache", "RequestRoot": "spool", "StateDir": "state", "ServerBin": "bin",
        "TempDir": "tmp", "ErrorLog": "error.log", "AccessLog": "access.log", "PageLog": "page.log",
    }  # fmt: skip
    lines = [f"{name} {folder / place}" for name, place in places.items()]
    (folder / "etc/cups-files.conf").write_text("\n".join([*lines, "Sandboxing Relaxed", ""]))


def _wait_for(port: int, process: subprocess.Popen[bytes], folder: Path) -> None:
    end = time.monotonic() + STARTS_WITHIN_S
    while time.monotonic() < end and process.poll() is None:
        with suppress(OSError), create_connection(("127.0.0.1", port), timeout=1):
            return
        time.sleep(0.02)
    raise RuntimeError(f"cupsd does not start: {(folder / 'said').read_text(errors='replace')[-1000:]}")
