"""The address of a printer, taken apart."""

import pytest

from watcher.outbox.printing.address import Address


@pytest.mark.parametrize(
    ("uri", "host", "port", "path", "encrypted"),
    [
        ("ipp://printer/ipp/print", "printer", 631, "/ipp/print", False),  # RFC 3510: 631 where none is written
        ("ipps://printer:443/ipp/print?a=b", "printer", 443, "/ipp/print?a=b", True),
        ("ipp://[::1]:8631/printers/x", "::1", 8631, "/printers/x", False),
    ],
)
def test_an_address_has_its_parts(uri, host, port, path, encrypted):
    assert Address.parse(uri) == Address(uri=uri, host=host, port=port, path=path, is_encrypted=encrypted)


@pytest.mark.parametrize(
    ("host", "here"), [("localhost", True), ("127.3.0.1", True), ("[::1]", True), ("10.0.0.1", False)]
)
def test_what_stays_on_this_computer_is_known(host, here):
    assert Address.parse(f"ipp://{host}/ipp/print").is_this_computer is here
