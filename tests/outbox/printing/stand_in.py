"""A stand-in for a printer that answers what a test has written down, byte for byte, and keeps what it was asked."""

import socket
import ssl
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field

OK = bytes.fromhex("0200 0000 00000001 03")  # successful-ok without any attribute; request 1
HEAD = b"HTTP/1.1 200 OK\r\nContent-Type: application/ipp\r\nContent-Length: %d\r\n\r\n"

Answer = bytes | Callable[[socket.socket], None]


def ipp(body: bytes) -> bytes:
    """An answer of a printer."""
    return HEAD % len(body) + body


def status(line: str, *headers: str) -> bytes:
    """An answer of a web server alone."""
    return "\r\n".join([f"HTTP/1.1 {line}", *headers, "Content-Length: 0", "", ""]).encode()


@dataclass(kw_only=True)
class StandIn:
    """`asked` has the requests so far, each with its head."""

    port: int
    asked: list[bytes] = field(default_factory=list)

    def uri(self, scheme: str = "ipp") -> str:
        return f"{scheme}://127.0.0.1:{self.port}/ipp/print"


@contextmanager
def stand_in(
    answers: Sequence[Answer], context: ssl.SSLContext | None = None, *, reads_all: bool = True
) -> Iterator[StandIn]:
    """Answer so many connections, one after the other, and no more; or answer as soon as the first bytes are there."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        listener.settimeout(10)
        told = StandIn(port=listener.getsockname()[1])
        thread = threading.Thread(target=_serve, args=(listener, answers, context, told, reads_all), daemon=True)
        thread.start()
        try:
            yield told
        finally:
            with suppress(OSError):
                listener.shutdown(socket.SHUT_RDWR)  # wakes who waits for a connection
            thread.join(10)


def _serve(
    listener: socket.socket, answers: Sequence[Answer], context: ssl.SSLContext | None, told: StandIn, reads_all: bool
) -> None:
    for answer in answers:
        try:
            one, _ = listener.accept()
        except OSError:  # nobody asks any more
            return
        with one, suppress(OSError):
            one.settimeout(10)
            if context is None:
                _answer(one, answer, told, reads_all)
            else:
                with context.wrap_socket(one, server_side=True) as wrapped:
                    _answer(wrapped, answer, told, reads_all)


def _answer(one: socket.socket, answer: Answer, told: StandIn, reads_all: bool) -> None:
    told.asked.append(_read(one) if reads_all else one.recv(65536))
    if callable(answer):
        answer(one)
    else:
        one.sendall(answer)


def _read(one: socket.socket) -> bytes:
    got = b""
    while b"\r\n\r\n" not in got:
        got += (more := one.recv(65536))
        if not more:
            return got
    head, _, body = got.partition(b"\r\n\r\n")
    length = next(int(line[15:]) for line in head.split(b"\r\n") if line.lower().startswith(b"content-length:"))
    while len(body) < length and (more := one.recv(65536)):
        body += more
    return head + b"\r\n\r\n" + body
