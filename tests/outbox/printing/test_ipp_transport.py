"""The way to a printer: what may go wrong on it, and what its owner then reads."""

import hashlib
import shutil
import socket
import ssl
import subprocess
import time

import pytest

from tests.outbox.printing.stand_in import HEAD, OK, ipp, stand_in, status
from tests.virtual_printer import needs_a_virtual_printer
from watcher.errors import PrinterBusy, PrinterGone, PrinterRefused
from watcher.outbox.printing import ipp_transport
from watcher.outbox.printing.address import Address
from watcher.outbox.printing.login import Login

DIGEST = 'WWW-Authenticate: Digest realm="r", nonce="n", qop="auth"'
BASIC = 'WWW-Authenticate: Basic realm="r"'


@pytest.fixture
def login(tmp_path):
    return Login(file=tmp_path / "login", name="anna", password="secret")


def ask(connection, answers, *, message=b"question", document=None, **given):
    """What a printer answers that gives these answers, and what it was asked."""
    with stand_in(answers) as printer:
        try:
            return connection(printer.uri(), **given).transport.ask(message, document), printer.asked
        except Exception as error:
            return error, printer.asked


# -- requests ----------------------------------------------------------------------------------------------------------


def test_a_request_is_one_post_with_its_length(connection):
    answer, asked = ask(connection, [ipp(OK)])

    assert answer == OK
    assert asked[0].startswith(b"POST /ipp/print HTTP/1.1\r\n")
    assert b"Content-Type: application/ipp\r\nContent-Length: 8\r\n" in asked[0]
    assert asked[0].endswith(b"\r\n\r\nquestion")


def test_a_document_follows_the_message(connection, tmp_path):
    document = tmp_path / "sheets.pdf"
    document.write_bytes(bytes(range(256)) * 1000)

    _, asked = ask(connection, [ipp(OK)], document=document)

    assert asked[0].partition(b"\r\n\r\n")[2] == b"question" + document.read_bytes()


def test_a_document_that_is_not_there_is_no_fault_of_the_printer(connection, tmp_path):
    error, _ = ask(connection, [ipp(OK)], document=tmp_path / "nowhere.pdf")

    assert isinstance(error, FileNotFoundError)


def test_a_printer_that_refuses_before_the_document_is_through_is_heard(connection, tmp_path):
    """It takes no more and closes; the document is larger than any buffer between the two."""
    document = tmp_path / "sheets.pdf"
    with document.open("wb") as stream:
        stream.truncate(50_000_000)

    def refuse_and_wait(one):
        one.sendall(status("403 Forbidden"))
        one.shutdown(socket.SHUT_WR)
        while one.recv(1 << 20):
            pass

    with stand_in([refuse_and_wait], reads_all=False) as printer, pytest.raises(PrinterRefused, match="does not let"):
        connection(printer.uri()).transport.ask(b"question", document)


def test_a_connection_broken_off_within_the_document_may_have_been_heard(connection, tmp_path):
    document = tmp_path / "sheets.pdf"
    with document.open("wb") as stream:
        stream.truncate(50_000_000)

    with stand_in([b""], reads_all=False) as printer, pytest.raises(PrinterGone) as gone:
        connection(printer.uri()).transport.ask(b"question", document)
    assert gone.value.may_have_heard


# -- what is no answer -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "kind", "words"),
    [
        ("403 Forbidden", PrinterRefused, "does not let this computer in"),
        ("404 Not Found", PrinterRefused, "no queue of that name"),
        ("426 Upgrade Required", PrinterRefused, "Write ipps:// instead of ipp://"),
        ("503 Service Unavailable", PrinterBusy, "no time at the moment"),
        ("302 Found", PrinterRefused, "HTTP status 302"),
        ("500 Oops", PrinterRefused, "HTTP status 500"),
    ],
)
def test_each_refusal_of_the_web_server_has_its_words(connection, line, kind, words):
    error, _ = ask(connection, [status(line, "Location: http://127.0.0.1:1/")])

    assert type(error) is kind
    assert words in str(error)


@pytest.mark.parametrize(
    "answer",
    [
        b"",
        b"SSH-2.0-OpenSSH_9.2\r\n",
        HEAD % 5000 + OK,
        b"HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nContent-Length: 2\r\n\r\nhi",
        b"HTTP/1.1 200 OK\r\n" + b"X: y\r\n" * 500 + b"\r\n",
    ],
)
def test_what_answers_but_is_no_printer_is_gone_and_may_have_heard(connection, answer):
    error, _ = ask(connection, [answer])

    assert isinstance(error, PrinterGone)
    assert error.may_have_heard


def test_an_endless_answer_is_cut_off(connection, monkeypatch):
    monkeypatch.setattr(ipp_transport, "LARGEST_MESSAGE", 1000)

    error, _ = ask(connection, [b"HTTP/1.1 200 OK\r\nContent-Type: application/ipp\r\n\r\n" + bytes(2000)])

    assert isinstance(error, PrinterGone)
    assert "more than 1,000 bytes" in str(error)


def test_an_answer_that_drips_is_cut_off(connection, monkeypatch):
    monkeypatch.setattr(ipp_transport, "ANSWER_S", 0.3)

    def drip(one):
        for _ in range(300):
            one.sendall(b"X")
            time.sleep(0.02)

    error, _ = ask(connection, [drip])

    assert isinstance(error, PrinterGone)
    assert error.may_have_heard


def test_a_printer_that_takes_no_more_of_a_document_may_have_heard_what_it_took(connection, tmp_path, monkeypatch):
    monkeypatch.setattr(ipp_transport, "STALLED_S", 0.1)
    document = tmp_path / "sheets.pdf"
    with document.open("wb") as stream:
        stream.truncate(64 * 1024**2)  # more than the buffers on the way take
    with socket.create_server(("127.0.0.1", 0)) as deaf:
        way = connection(f"ipp://127.0.0.1:{deaf.getsockname()[1]}/ipp/print")
        with pytest.raises(PrinterGone) as gone:
            way.transport.ask(b"question", document)
    assert "stopped answering" in str(gone.value)
    assert gone.value.may_have_heard


def test_nobody_there_has_heard_nothing(connection):
    with pytest.raises(PrinterGone, match="does not answer: it is off") as gone:
        connection("ipp://127.0.0.1:1/ipp/print").transport.ask(b"question")
    assert not gone.value.may_have_heard


def test_a_name_that_nobody_knows_is_told(connection):
    with pytest.raises(PrinterGone, match="does not answer"):
        connection("ipp://no-such-printer.invalid/ipp/print").transport.ask(b"question")


# -- names and passwords -----------------------------------------------------------------------------------------------


def test_a_printer_that_asks_for_a_password_says_how_to_give_it(connection):
    error, _ = ask(connection, [status("401 Unauthorized", DIGEST)])

    assert 'login_file = "~/printer-login"' in str(error)


def test_a_digest_is_answered_and_kept_for_the_next_request(connection, login):
    with stand_in([status("401 Unauthorized", DIGEST), ipp(OK), ipp(OK)]) as printer:
        transport = connection(printer.uri(), login=login).transport
        assert transport.ask(b"one") == transport.ask(b"two") == OK

    assert b"Authorization" not in printer.asked[0]
    assert b'Authorization: Digest username="anna"' in printer.asked[1]
    assert b"nc=00000002" in printer.asked[2]
    assert not any(b"secret" in asked for asked in printer.asked)


def test_a_wrong_password_is_tried_once(connection, login):
    error, asked = ask(connection, [status("401 Unauthorized", DIGEST)] * 3, login=login)

    assert "does not take the name and password" in str(error)
    assert len(asked) == 2


def test_a_readable_password_is_sent_to_this_computer_alone(connection, login, monkeypatch):
    _, asked = ask(connection, [status("401 Unauthorized", BASIC), ipp(OK)], login=login)
    assert b"Authorization: Basic " in asked[1]

    monkeypatch.setattr(Address, "is_this_computer", False)
    error, asked = ask(connection, [status("401 Unauthorized", BASIC), ipp(OK)], login=login)
    assert "Write ipps:// instead of ipp://" in str(error)
    assert len(asked) == 1


# -- certificates ------------------------------------------------------------------------------------------------------


@pytest.fixture
def certificate(tmp_path):
    """A self-signed certificate for a host, made with openssl: the server's side, and the digits of it."""
    if not shutil.which("openssl"):
        pytest.skip("openssl is not there")

    def make(host="IP:127.0.0.1"):
        words = "openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -days 2 -subj /CN=p"
        pem, key = tmp_path / "cert.pem", tmp_path / "key.pem"
        subprocess.run(
            [*words.split(), "-addext", f"subjectAltName={host}", "-out", pem, "-keyout", key],
            check=True,
            capture_output=True,
        )
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(pem, key)
        return context, pem, hashlib.sha256(ssl.PEM_cert_to_DER_cert(pem.read_text())).hexdigest()

    return make


def test_a_self_signed_certificate_is_refused_and_its_digits_are_told(connection, certificate):
    context, _, digits = certificate()

    with stand_in([ipp(OK)] * 2, context) as printer, pytest.raises(PrinterRefused) as refused:
        connection(printer.uri("ipps")).transport.ask(b"question")

    assert f'write into [printers.laser]: fingerprint = "{digits}"' in str(refused.value)
    assert not any(b"question" in asked for asked in printer.asked)


def test_the_certificate_that_the_owner_trusts_is_enough(connection, certificate):
    context, _, digits = certificate("DNS:some.other.name")

    with stand_in([ipp(OK)], context) as printer:
        assert connection(printer.uri("ipps"), fingerprint=digits).transport.ask(b"question") == OK


def test_another_certificate_than_the_trusted_one_gets_nothing(connection, certificate):
    context, _, digits = certificate()

    with stand_in([ipp(OK)], context) as printer, pytest.raises(PrinterRefused, match="another certificate") as refused:
        connection(printer.uri("ipps"), fingerprint="0f" * 32).transport.ask(b"question")

    assert digits in str(refused.value)
    assert not any(b"question" in asked for asked in printer.asked)


def trusting(pem):
    context = ssl.create_default_context(cafile=pem)
    return lambda *, check: context


def test_a_proven_certificate_needs_no_word_of_the_owner(connection, certificate, monkeypatch):
    context, pem, _ = certificate()
    monkeypatch.setattr(ipp_transport, "tls_context", trusting(pem))

    with stand_in([ipp(OK)], context) as printer:
        assert connection(printer.uri("ipps")).transport.ask(b"question") == OK


def test_a_proven_certificate_of_another_name_is_refused(connection, certificate, monkeypatch):
    context, pem, digits = certificate("DNS:some.other.name")
    real = ipp_transport.tls_context
    proven = trusting(pem)
    monkeypatch.setattr(ipp_transport, "tls_context", lambda *, check: (proven if check else real)(check=check))

    with stand_in([ipp(OK)] * 2, context) as printer, pytest.raises(PrinterRefused, match="not proven") as refused:
        connection(printer.uri("ipps")).transport.ask(b"question")
    assert digits in str(refused.value)


def test_a_printer_without_tls_is_told_from_one_with_it(connection):
    with stand_in([status("400 Bad Request")], reads_all=False) as printer, pytest.raises(PrinterRefused) as refused:
        connection(printer.uri("ipps")).transport.ask(b"question")
    assert "does not speak TLS there. Write ipp://" in str(refused.value)


@needs_a_virtual_printer
def test_a_real_printers_own_certificate_is_pinned(printer_runs, connection):
    """The virtual printer makes its own, as printers do."""
    printer = printer_runs()
    with pytest.raises(PrinterRefused, match="not proven") as refused:
        connection(printer.encrypted_uri).says()
    digits = str(refused.value).split('fingerprint = "')[1].split('"')[0]

    assert connection(printer.encrypted_uri, fingerprint=digits).says().model == "Example Printer"
