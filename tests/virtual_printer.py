"""A virtual printer out of the printing system, ippeveprinter, on loopback: what it says is written by the test.

It wants a bus to announce itself on; it gets one of its own on which nobody listens, so nothing is announced and no
rights are needed.
"""

import shutil
import socket
import subprocess
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import pytest

PROGRAM = shutil.which("ippeveprinter", path="/usr/sbin:/usr/bin:/usr/local/bin")
BUS = shutil.which("dbus-daemon")
needs_a_virtual_printer = pytest.mark.skipif(
    not (PROGRAM and BUS), reason="ippeveprinter (Debian: cups-ipp-utils) or dbus-daemon (Debian: dbus) is not there"
)
EDGES = ("top", "right", "bottom", "left")
MEDIA_MEMBERS = ",".join(["media-size", "media-source", "media-type", *(f"media-{edge}-margin" for edge in EDGES)])
STARTS_WITHIN_S = 20
LETTER, A4, SRA3 = (21590, 27940), (21000, 29700), (32000, 45000)  # hundredths of a millimetre


@dataclass(frozen=True, kw_only=True)
class Paper:
    """An entry of media-col-database or media-col-ready; lengths in hundredths of a millimetre.

    Attributes:
        size: across and along, or two ranges.
        margins: top, right, bottom, left.
    """

    size: tuple[int | range, int | range] = LETTER
    margins: tuple[int, int, int, int] = (423, 423, 423, 423)
    source: str | None = None
    kind: str | None = None
    lead: str | None = None

    def size_written(self) -> str:
        """The size alone, as the attributes file has it."""
        return "{ " + " ".join(_dimension(name, side) for name, side in zip("xy", self.size, strict=True)) + " }"

    def written(self) -> str:
        """The entry as the attributes file has it."""
        members = [f"MEMBER collection media-size {self.size_written()}"]
        members += [
            f"MEMBER integer media-{edge}-margin {width}" for edge, width in zip(EDGES, self.margins, strict=True)
        ]
        members += [f"MEMBER keyword media-source {self.source}"] if self.source else []
        members += [f"MEMBER keyword media-type {self.kind}"] if self.kind else []
        if self.lead:
            feed = f"MEMBER keyword media-source-feed-direction {self.lead}"
            members.append(f"MEMBER collection media-source-properties {{ {feed} }}")
        return "{ " + " ".join(members) + " }"


def _listed(found: Iterable[object]) -> str:
    return ",".join(dict.fromkeys(str(one) for one in found if one is not None)) or "auto"


def _dimension(name: str, side: int | range) -> str:
    if isinstance(side, range):
        return f"MEMBER rangeOfInteger {name}-dimension {side.start}-{side.stop}"
    return f"MEMBER integer {name}-dimension {side}"


@dataclass(frozen=True, kw_only=True)
class VirtualPrinter:
    """A virtual printer that runs; `jobs` is the folder in which it keeps what it was sent."""

    port: int
    jobs: Path
    process: subprocess.Popen[bytes]

    @property
    def uri(self) -> str:
        return f"ipp://127.0.0.1:{self.port}/ipp/print"

    @property
    def encrypted_uri(self) -> str:
        return f"ipps://127.0.0.1:{self.port}/ipp/print"

    def stop(self) -> None:
        """Turn it off, as with its switch."""
        self.process.kill()
        self.process.wait()


def written_attributes(
    sheets: Sequence[Paper],
    ready: Sequence[Paper] | None,
    sides: Sequence[str] = ("one-sided", "two-sided-long-edge", "two-sided-short-edge"),
    *,
    formats: Sequence[str] = ("application/pdf", "image/urf"),
    more: Mapping[str, str] | None = None,
) -> str:
    """The attributes file; the program adds what is missing, and some of its own once more behind it.

    `more` has further attributes, or other ones: `{"print-scaling-supported": "keyword none,fit"}`.
    """
    said = {
        "media-col-database": f"collection {','.join(one.written() for one in sheets)}",
        "media-size-supported": f"collection {','.join(one.size_written() for one in sheets)}",
        "media-col-supported": f"keyword {MEDIA_MEMBERS}",
        "media-source-supported": f"keyword {_listed(one.source for one in sheets)}",
        "media-type-supported": f"keyword {_listed(one.kind for one in sheets)}",
        "sides-supported": f"keyword {','.join(sides)}",
        "document-format-supported": f"mimeMediaType {','.join(formats)}",
        "copies-supported": "rangeOfInteger 1-999",
    }
    for number, edge in enumerate(EDGES):
        said[f"media-{edge}-margin-supported"] = f"integer {_listed(one.margins[number] for one in sheets)}"
    if ready is not None:
        said["media-col-ready"] = f"collection {','.join(one.written() for one in ready)}"
    lines = []
    for name, value in {**said, **(more or {})}.items():
        kind, _, written = value.partition(" ")
        lines.append(f"ATTR {kind} {name} {written}")
    return "\n".join(lines) + "\n"


@contextmanager
def virtual_printer(
    folder: Path,
    attributes: str | None = None,
    *,
    command: Path | None = None,
) -> Iterator[VirtualPrinter]:
    """Run a virtual printer; without a `command` for its jobs they are done at once."""
    assert PROGRAM
    jobs, keys = folder / "jobs", folder / "keys"
    jobs.mkdir(parents=True)
    keys.mkdir()
    given = ["-f", "application/pdf"]
    if attributes is not None:
        (folder / "attributes").write_text(attributes)
        given = ["-a", str(folder / "attributes")]
    port = free_port()
    does = command or shutil.which("true")
    words = [PROGRAM, "-k", "-d", jobs, "-K", keys, "-p", str(port), "-r", "off", "-n", "localhost"]
    with _bus(folder) as address, (folder / "printer.log").open("wb") as log:
        process = subprocess.Popen(
            [*words, "-c", str(does), *given, "-v", "Virtual"],
            env={"DBUS_SYSTEM_BUS_ADDRESS": address, "PATH": "/usr/sbin:/usr/bin:/bin", "HOME": str(folder)},
            stdout=log,
            stderr=log,
        )
        try:
            _wait_for(port, process, folder / "printer.log")
            yield VirtualPrinter(port=port, jobs=jobs, process=process)
        finally:
            process.kill()
            process.wait()


@contextmanager
def _bus(folder: Path) -> Iterator[str]:
    """A message bus of its own; its socket has a short path, as sockets must."""
    assert BUS
    words = [BUS, "--session", "--nofork", "--nopidfile", "--print-address=1", f"--address=unix:tmpdir={folder}"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as process:
        assert process.stdout
        try:
            yield process.stdout.readline().decode().strip()
        finally:
            process.kill()


def free_port() -> int:
    """A port of loopback at which nobody listens."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def _wait_for(port: int, process: subprocess.Popen[bytes], log: Path) -> None:
    """Wait until somebody answers at the port."""
    end = time.monotonic() + STARTS_WITHIN_S
    while time.monotonic() < end:
        if process.poll() is not None:
            break
        with suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=1):
            return
        time.sleep(0.02)
    raise RuntimeError(f"the virtual printer does not start: {log.read_text(errors='replace')[-2000:]}")
