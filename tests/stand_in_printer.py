"""A stand-in printer on loopback that records what it is asked and dies where a test wants it to.

Its codec is its own and shares nothing with the program's (`test_stand_in_printer.py` has ipptool read its answers).
Source: RFC 8010 3.1 (encoding), RFC 8011 4 and appendix B (operations, status codes), PWG 5100.7 (media-col).
"""

import io
import struct
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import pypdf

OPERATIONS = {
    0x04: "validate", 0x05: "create", 0x06: "send", 0x08: "cancel", 0x09: "job", 0x0A: "jobs", 0x0B: "printer",
    0x0D: "release",
}  # fmt: skip
PENDING, HELD, PROCESSING, STOPPED, CANCELLED, ABORTED, COMPLETED = range(3, 10)
LETTER, A4 = (21590, 27940), (21000, 29700)


# -- codec -------------------------------------------------------------------------------------------------------------


def read_request(stream: io.BytesIO) -> tuple[int, int, dict[str, list[Any]], bytes]:
    """Operation, request number, all attributes in one table, and the document behind them."""
    _version, operation, number = struct.unpack(">HHI", stream.read(8))
    found: dict[str, list[Any]] = {}
    values: list[Any] = []
    while (tag := stream.read(1)[0]) != 3:
        if tag < 0x10:
            continue
        name, value = _named(stream, tag)
        if name:
            values = found.setdefault(name, [])
        values.append(value)
    return operation, number, found, stream.read()


def _named(stream: io.BytesIO, tag: int) -> tuple[str, Any]:
    name = stream.read(struct.unpack(">H", stream.read(2))[0]).decode()
    data = stream.read(struct.unpack(">H", stream.read(2))[0])
    if tag == 0x34:
        return name, _members(stream)
    if tag in (0x21, 0x23):
        return name, struct.unpack(">i", data)[0]
    return name, data != b"\0" if tag == 0x22 else data.decode()


def _members(stream: io.BytesIO) -> dict[str, Any]:
    found: dict[str, Any] = {}
    member = ""
    while (tag := stream.read(1)[0]) != 0x37:
        _, value = _named(stream, tag)
        if tag == 0x4A:
            member = value
        else:
            found[member] = value
    stream.read(4)
    return found


def _written(tag: int, name: str, data: bytes) -> bytes:
    return bytes([tag]) + struct.pack(">H", len(name)) + name.encode() + struct.pack(">H", len(data)) + data


def _value(name: str, value: Any) -> bytes:
    """Integers as enums where the name says so, words as keywords, tables as collections, pairs as ranges."""
    if isinstance(value, bool):
        return _written(0x22, name, bytes([value]))
    if isinstance(value, int):
        return _written(
            0x23 if name.endswith(("-state", "quality-supported", "operations-supported")) else 0x21,
            name,
            struct.pack(">i", value),
        )
    if isinstance(value, tuple):
        return _written(0x33, name, struct.pack(">ii", *value))
    if isinstance(value, dict):
        inner = b"".join(_written(0x4A, "", key.encode()) + _value("", one) for key, one in value.items())
        return _written(0x34, name, b"") + inner + _written(0x37, "", b"")
    kind = {"job-name": 0x42, "status-message": 0x41, "document-format-supported": 0x49, "printer-make-and-model": 0x41}
    return _written(kind.get(name, 0x44), name, str(value).encode())


def answer(status: int, number: int, *groups: tuple[int, dict[str, Any]]) -> bytes:
    """An answer; each group has its tag and its attributes, of which a list has several values."""
    body = struct.pack(">HHI", 0x0200, status, number) + b"\x01"
    body += _written(0x47, "attributes-charset", b"utf-8") + _written(0x48, "attributes-natural-language", b"en")
    for tag, attributes in groups:
        body += bytes([tag])
        for name, values in attributes.items():
            for place, value in enumerate(values if isinstance(values, list) else [values]):
                written = _value(name, value)
                body += written if place == 0 else written[:1] + b"\0\0" + written[3 + len(name) :]
    return body + b"\x03"


# -- the printer -------------------------------------------------------------------------------------------------------


def media(size: tuple[int, int] = LETTER, margin: int = 423, **more: str) -> dict[str, Any]:
    """An entry of media-col-database or media-col-ready."""
    edges = {f"media-{edge}-margin": margin for edge in ("top", "right", "bottom", "left")}
    named = {key.replace("_", "-"): value for key, value in more.items()}
    return {"media-size": {"x-dimension": size[0], "y-dimension": size[1]}, **edges, **named}


@dataclass
class Job:
    """One job as the printer has it."""

    number: int
    asked: dict[str, list[Any]]
    state: int = PENDING
    document: bytes = b""
    printed: int = 0

    @property
    def name(self) -> str:
        return str(self.asked["job-name"][0])

    @property
    def sheets(self) -> int:
        """How many sheets of paper it takes."""
        pages = len(pypdf.PdfReader(io.BytesIO(self.document)).pages)
        of_one = 1 if self.asked.get("sides", ["one-sided"])[0] == "one-sided" else 2
        return -(-pages // of_one) * self.asked.get("copies", [1])[0]


@dataclass
class StandIn:
    """The printer.

    Attributes:
        attributes: what it says; a test may change them at any time.
        holds: whether it can hold jobs.
        pretends: it calls new jobs held and prints them at once all the same; it cannot let jobs go.
        prints: whether it prints what it has; else jobs stay where they are until `print_all`.
        dies: names of operations at which it drops the connection, with `before` (nothing is done) or `after`.
        forgets: whether it knows no job any more once it has died.
        paper: the names of jobs and the number of sheets that came out, in order.
        heard: names of operations and their attributes.
    """

    attributes: dict[str, Any] = field(default_factory=dict)
    holds: bool = True
    pretends: bool = False
    prints: bool = True
    dies: dict[str, str] = field(default_factory=dict)
    forgets: bool = False
    busy: int = 0
    paper: list[tuple[str, int]] = field(default_factory=list)
    heard: list[tuple[str, dict[str, list[Any]]]] = field(default_factory=list)
    jobs: dict[int, Job] = field(default_factory=dict)
    ignored: tuple[str, ...] = ()
    next_job: int = 1
    port: int = 0
    lock: threading.RLock = field(default_factory=threading.RLock)

    def __post_init__(self) -> None:
        self.attributes = {**said_by_default(), **self.attributes}
        if self.holds:
            self.attributes["job-hold-until-supported"] = ["no-hold", "indefinite"]
        if self.pretends:
            self.attributes["operations-supported"] = [one for one in OPERATIONS if OPERATIONS[one] != "release"]

    @property
    def uri(self) -> str:
        return f"ipp://127.0.0.1:{self.port}/ipp/print"

    @property
    def sheets(self) -> int:
        """All sheets that came out."""
        return sum(sheets for _, sheets in self.paper)

    @property
    def asked(self) -> list[str]:
        """The names of what it was asked."""
        return [name for name, _ in self.heard]

    def print_all(self) -> None:
        """Print what lies there and is not held."""
        with self.lock:
            for job in self.jobs.values():
                if job.document and job.state in (PENDING, PROCESSING, STOPPED):
                    self._print(job)

    def _print(self, job: Job) -> None:
        self.paper.append((job.name, job.sheets))
        job.state, job.printed = COMPLETED, job.sheets

    def respond(self, data: bytes) -> bytes | None:
        """The answer to a request; None: it dies over it."""
        operation, number, asked, document = read_request(io.BytesIO(data))
        name = OPERATIONS.get(operation, "")
        with self.lock:
            self.heard.append((name, asked))
            how = self.dies.pop(name, "")
            if how == "before":
                self._die()
                return None
            said = self._carry_out(name, number, asked, document)
            if how:
                self._die()
                return None
            return said

    def _die(self) -> None:
        if self.forgets:
            self.jobs.clear()

    def _carry_out(self, name: str, number: int, asked: dict[str, list[Any]], document: bytes) -> bytes:
        if name in ("create", "validate") and self.busy:
            self.busy -= 1
            return answer(0x0507, number)
        if name == "printer":
            return answer(0, number, (4, self.attributes))
        if name == "validate":
            return answer(0, number, *self._left_out())
        if name == "jobs":
            under_way = [job for job in self.jobs.values() if job.state < CANCELLED]
            return answer(0, number, *((2, self._about(job)) for job in under_way))
        if name == "create":
            job = Job(number=self.next_job, asked=asked)
            if self.pretends or (self.holds and asked.get("job-hold-until") == ["indefinite"]):
                job.state = HELD
            self.jobs[job.number] = job
            self.next_job += 1
            return answer(0, number, *self._left_out(), (2, self._about(job)))
        found = self.jobs.get(asked["job-id"][0])
        if found is None:
            return answer(0x0406, number)
        return self._of_job(name, number, found, document)

    def _of_job(self, name: str, number: int, job: Job, document: bytes) -> bytes:
        if name == "send":
            job.document = document
            if job.state != HELD or self.pretends:
                job.state = PROCESSING
        if name == "release":
            if job.state != HELD:
                return answer(0x0404, number)
            job.state = PROCESSING
        if name == "cancel":
            if job.state >= CANCELLED:
                return answer(0x0404, number)
            job.state = CANCELLED
        if self.prints and job.document and job.state == PROCESSING and name in ("send", "release"):
            self._print(job)
        return answer(0, number, (2, self._about(job)))

    def _left_out(self) -> list[tuple[int, dict[str, Any]]]:
        return [(5, dict.fromkeys(self.ignored, "unsupported"))] if self.ignored else []

    @staticmethod
    def _about(job: Job) -> dict[str, Any]:
        return {
            "job-id": job.number,
            "job-name": job.name,
            "job-state": job.state,
            "job-state-reasons": "none",
            "job-media-sheets-completed": job.printed,
        }


def said_by_default() -> dict[str, Any]:
    """A printer for letter and A4 that can do all that is needed; its rim is 1/6 in."""
    papers = [media(size, media_source="main", media_type="cardstock") for size in (LETTER, A4)]
    return {
        "printer-make-and-model": "Stand-in",
        "printer-state": 3,
        "printer-state-reasons": "none",
        "printer-is-accepting-jobs": True,
        "document-format-supported": ["application/pdf", "image/urf"],
        "print-scaling-supported": ["auto", "none"],
        "sides-supported": ["one-sided", "two-sided-long-edge", "two-sided-short-edge"],
        "copies-supported": (1, 999),
        "media-col-database": papers,
        "media-col-ready": papers[:1],
        "media-source-supported": "main",
        "media-type-supported": "cardstock",
        "operations-supported": sorted(OPERATIONS),
        "job-creation-attributes-supported": ["copies", "sides", "media-col", "multiple-document-handling"],
    }


def _handler(printer: StandIn) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_POST(self) -> None:
            said = printer.respond(self._body())
            self.close_connection = True
            if said is None:
                return
            self.send_response(200)
            self.send_header("Content-Type", "application/ipp")
            self.send_header("Content-Length", str(len(said)))
            self.end_headers()
            self.wfile.write(said)

        def _body(self) -> bytes:
            if self.headers.get("Expect", "").lower() == "100-continue":
                pass  # the base class has answered it
            if "chunked" not in self.headers.get("Transfer-Encoding", ""):
                return self.rfile.read(int(self.headers["Content-Length"]))
            body = b""
            while size := int(self.rfile.readline().split(b";")[0], 16):
                body += self.rfile.read(size)
                self.rfile.readline()
            self.rfile.readline()
            return body

        def log_message(self, *_: object) -> None:
            pass

    return Handler


@contextmanager
def stand_in(**given: Any) -> Iterator[StandIn]:
    """Run a stand-in printer in a thread of the test's process."""
    printer = StandIn(**given)
    server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(printer))
    server.daemon_threads = True
    printer.port = server.server_address[1]
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield printer
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def with_queue(settings: str, uri: str, more: str = "") -> str:
    """Settings whose printer has a queue."""
    return settings.replace("[printers.office]", f'[printers.office]\nqueue = "{uri}"\n{more}')
