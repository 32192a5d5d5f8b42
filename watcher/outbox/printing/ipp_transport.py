"""Carry IPP requests to a printer over HTTP, with TLS where the address says so; RFC 8010 section 4, RFC 7472.

Each request has a connection of its own. Times and sizes have limits, redirects are not followed, and an error says
whether the printer may have heard the request.
"""

import http.client
import os
import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from watcher.errors import PrinterBusy, PrinterError, PrinterGone, PrinterRefused
from watcher.outbox.printing.address import Address
from watcher.outbox.printing.ipp_message import LARGEST_MESSAGE
from watcher.outbox.printing.login import Login, authorization
from watcher.outbox.printing.tls import sha256_of_certificate, tls_context, tls_trouble

CONNECT_S = 15.0  # a printer that sleeps wakes in some seconds (common practice, no source)
ANSWER_S = 60.0
STALLED_S = 15 * 60.0  # a printer whose memory is full takes no more until paper comes out
_CHUNK = 64 * 1024


class Transport:
    """The way to one printer.

    Args:
        printer: its name in the settings; empty where there are no settings yet.

    Attributes:
        who: what the printer is called in a sentence: `The printer laser (ipp://...)`.
    """

    def __init__(
        self, printer: str, address: Address, *, fingerprint: str | None = None, login: Login | None = None
    ) -> None:
        self.printer, self.address, self.fingerprint, self.login = printer, address, fingerprint, login
        self.who = f"The printer {printer} ({address.uri})" if printer else f"The printer {address.uri}"
        self._authorize: Callable[[], str] | None = None

    def ask(self, message: bytes, document: Path | None = None) -> bytes:
        """Send a message, and a document behind it, and give the body of the answer.

        Raises:
            PrinterGone: nobody answers, or not as a printer does.
            PrinterBusy: it has no time now.
            PrinterRefused: it does not let us in, or it is not the printer that is meant.
            OSError: the document cannot be read; the printer has not got the whole of it then.
        """
        status, body = self._ask_once(message, document)
        if status == http.HTTPStatus.UNAUTHORIZED and self._authorize:
            status, body = self._ask_once(message, document)
        if status != http.HTTPStatus.OK:
            raise self._refusal(status)
        return body

    def _ask_once(self, message: bytes, document: Path | None) -> tuple[int, bytes]:
        with self._connection() as connection:
            self._send(connection, message, document)
            with _at_most(ANSWER_S if document is None else STALLED_S, connection.sock):
                answer, body = self._read(connection)
        if answer.status == http.HTTPStatus.UNAUTHORIZED:
            self._authorize = self._answer_to(answer.headers.get_all("WWW-Authenticate") or [])
        elif answer.status == http.HTTPStatus.OK and answer.headers.get_content_type() != "application/ipp":
            raise self._gone("answers, but not as a printer does", may_have_heard=True)
        return answer.status, body

    def _answer_to(self, challenges: list[str]) -> Callable[[], str] | None:
        if self.login is None:
            return None
        safe = self.address.is_encrypted or self.address.is_this_computer
        return authorization(self.login, challenges, uri=self.address.path, basic_is_safe=safe)

    # -- connecting ----------------------------------------------------------------------------------------------------

    @contextmanager
    def _connection(self) -> Iterator[http.client.HTTPConnection]:
        plain = self._reach()
        try:
            connection = http.client.HTTPConnection(self.address.host, self.address.port)
            connection.auto_open = 0
            connection.sock = self._encrypted(plain) if self.address.is_encrypted else plain
            plain = connection.sock
            yield connection
        finally:
            plain.close()

    def _reach(self) -> socket.socket:
        try:
            return socket.create_connection((self.address.host, self.address.port), timeout=CONNECT_S)
        except (OSError, UnicodeError) as error:  # UnicodeError: a host name that no name server could know
            raise self._gone(f"does not answer: {_reason(error)}") from error

    def _encrypted(self, plain: socket.socket) -> ssl.SSLSocket:
        """The socket with TLS on it: with a proven certificate, or with the very one that the owner trusts."""
        try:
            with _at_most(CONNECT_S, plain):
                wrapped = tls_context(check=self.fingerprint is None).wrap_socket(
                    plain, server_hostname=self.address.host
                )
        except ssl.SSLCertVerificationError as error:
            raise self._unproven(error.verify_message) from error
        except OSError as error:
            if isinstance(error, ssl.SSLError) and not isinstance(error, ssl.SSLEOFError | ssl.SSLZeroReturnError):
                raise PrinterRefused(f"{self.who} {tls_trouble(error)}") from error
            raise self._gone(f"does not answer: {_reason(error)}") from error
        found = sha256_of_certificate(wrapped)
        if self.fingerprint and found != self.fingerprint:
            wrapped.close()
            raise PrinterRefused(
                f"{self.who} shows another certificate than the one you trusted. Nothing was sent. If it was reset or"
                f" replaced, {self._trust(found)}"
            )
        return wrapped

    def _unproven(self, why: str) -> PrinterError:
        """What to say of a certificate that nobody vouches for; the printer is asked for it once more, unchecked."""
        try:
            with (
                self._reach() as plain,
                _at_most(CONNECT_S, plain),
                tls_context(check=False).wrap_socket(plain, server_hostname=self.address.host) as wrapped,
            ):
                found = sha256_of_certificate(wrapped)
        except OSError as error:
            return self._gone(f"does not answer: {_reason(error)}")
        return PrinterRefused(
            f"{self.who} shows a certificate that is not proven ({why}), as most printers do. Nothing was sent. If this"
            f" is your printer, {self._trust(found)}"
        )

    def _trust(self, digits: str) -> str:
        """What the owner does to trust a certificate."""
        if not self.printer:
            return f"say so: --fingerprint {digits}"
        return f'write into [printers.{self.printer}]: fingerprint = "{digits}"'

    # -- sending and reading -------------------------------------------------------------------------------------------

    def _send(self, connection: http.client.HTTPConnection, message: bytes, document: Path | None) -> None:
        if document is None:
            self._send_head(connection, len(message))
            self._send_part(connection, message)
            return
        with document.open("rb") as stream:
            length = os.fstat(stream.fileno()).st_size
            self._send_head(connection, len(message) + length)
            going = self._send_part(connection, message)
            while going and length > 0:
                part = stream.read(min(_CHUNK, length))
                if not part:
                    raise OSError(f"{document.name} became shorter while it was sent")
                length -= len(part)
                going = self._send_part(connection, part)

    def _send_head(self, connection: http.client.HTTPConnection, length: int) -> None:
        connection.putrequest("POST", self.address.path, skip_accept_encoding=True)
        connection.putheader("Content-Type", "application/ipp")
        connection.putheader("Content-Length", str(length))
        connection.putheader("Connection", "close")
        if self._authorize:
            connection.putheader("Authorization", self._authorize())
        try:
            connection.endheaders()
        except OSError as error:
            raise self._gone(f"does not answer: {_reason(error)}") from error

    def _send_part(self, connection: http.client.HTTPConnection, part: bytes) -> bool:
        """Send a part; False when the printer takes no more, which it does after an early answer."""
        try:
            connection.sock.settimeout(STALLED_S)
            connection.send(part)
        except (BrokenPipeError, ConnectionResetError, ssl.SSLEOFError):
            return False
        except OSError as error:
            raise self._gone(f"stopped answering: {_reason(error)}", may_have_heard=True) from error
        return True

    def _read(self, connection: http.client.HTTPConnection) -> tuple[http.client.HTTPResponse, bytes]:
        try:
            with connection.getresponse() as answer:
                body = answer.read(LARGEST_MESSAGE + 1)
        except (OSError, http.client.HTTPException, ValueError) as error:
            raise self._gone(f"stopped answering: {_reason(error)}", may_have_heard=True) from error
        if len(body) > LARGEST_MESSAGE:
            raise self._gone(f"answers with more than {LARGEST_MESSAGE:,} bytes", may_have_heard=True)
        if answer.length:
            raise self._gone("stopped answering: it broke the connection off", may_have_heard=True)
        return answer, body

    # -- what went wrong -----------------------------------------------------------------------------------------------

    def _gone(self, what: str, *, may_have_heard: bool = False) -> PrinterGone:
        return PrinterGone(f"{self.who} {what}.", may_have_heard=may_have_heard)

    def _refusal(self, status: int) -> PrinterError:
        match status:
            case http.HTTPStatus.UNAUTHORIZED:
                return PrinterRefused(f"{self.who} {self._login_trouble()}")
            case http.HTTPStatus.FORBIDDEN:
                return PrinterRefused(f"{self.who} does not let this computer in. Allow it in the printer's settings.")
            case http.HTTPStatus.NOT_FOUND:
                return PrinterRefused(f"{self.who} has no queue of that name. Correct the path of its address.")
            case http.HTTPStatus.UPGRADE_REQUIRED:
                return PrinterRefused(f"{self.who} wants an encrypted connection. Write ipps:// instead of ipp://.")
            case http.HTTPStatus.SERVICE_UNAVAILABLE | http.HTTPStatus.TOO_MANY_REQUESTS:
                return PrinterBusy(f"{self.who} has no time at the moment.")
        return PrinterRefused(f"{self.who} refuses the request (HTTP status {status}).")

    def _login_trouble(self) -> str:
        if not self.printer:
            return "asks for a name and a password. Make the print folder without --printer, and see README for both."
        if self.login is None:
            return (
                "asks for a name and a password. Write them into a file outside the print folder, a line each, run"
                f' chmod 600 on it, and write into [printers.{self.printer}]: login_file = "~/printer-login"'
            )
        if self._authorize is None:
            return (
                "would get the password where others can read it, or asks for it in an unknown way. Nothing was sent."
                " Write ipps:// instead of ipp://."
            )
        return f"does not take the name and password in {self.login.file}."


def _reason(error: Exception) -> str:
    """Why nobody answers, in plain words."""
    match error:
        case TimeoutError():
            return "no answer in time"
        case ConnectionRefusedError():
            return "it is off, or nothing prints at that port"
        case socket.gaierror():
            return "no printer of that name is known here"
        case ssl.SSLEOFError() | ssl.SSLZeroReturnError() | http.client.RemoteDisconnected():
            return "it broke the connection off"
        case ConnectionResetError() | ConnectionAbortedError():
            return "it broke the connection off"
        case OSError() if error.strerror:
            return error.strerror
    return "its answer makes no sense"


@contextmanager
def _at_most(seconds: float, sock: socket.socket) -> Iterator[None]:
    """End the connection when the block takes longer: a timeout of the socket is for each piece, and pieces drip."""
    timer = threading.Timer(seconds, _shut_down, [sock])
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        timer.join()


def _shut_down(sock: socket.socket) -> None:
    with suppress(OSError):
        socket.socket.shutdown(sock, socket.SHUT_RDWR)  # not the method of SSLSocket, which takes its TLS away
