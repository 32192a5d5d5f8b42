"""What is said where no common TLS is found."""

import ssl

import pytest

from watcher.outbox.printing.tls import tls_context, tls_trouble


def failed(reason):
    error = ssl.SSLError(1, reason or "it failed")
    error.reason = reason
    return error


# Source of the reasons: OpenSSL's sslerr.h, as Python's `ssl.SSLError.reason` gives them.
@pytest.mark.parametrize(
    ("reason", "said"),
    [
        ("WRONG_VERSION_NUMBER", "Write ipp:// instead of ipps://"),
        ("HTTP_REQUEST", "Write ipp:// instead of ipps://"),
        ("UNSUPPORTED_PROTOCOL", "speaks only an old TLS"),
        ("DH_KEY_TOO_SMALL", "speaks only an old TLS"),
        ("BAD_EXTENSION", "cannot be talked to over TLS (BAD_EXTENSION)."),
        (None, "cannot be talked to over TLS (no reason given)."),
    ],
)
def test_each_reason_has_its_way_out(reason, said):
    assert said in tls_trouble(failed(reason))


def test_a_certificate_is_proven_but_where_it_is_looked_at_afterwards():
    assert (tls_context(check=True).verify_mode, tls_context(check=True).check_hostname) == (ssl.CERT_REQUIRED, True)
    assert (tls_context(check=False).verify_mode, tls_context(check=False).check_hostname) == (ssl.CERT_NONE, False)
