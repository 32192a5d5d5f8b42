"""TLS to a printer: its context, the digits of a certificate, and what to say when it fails."""

import hashlib
import ssl

OLD = ("UNSUPPORTED_PROTOCOL", "TLSV1_ALERT_PROTOCOL_VERSION", "DH_KEY_TOO_SMALL", "NO_CIPHERS_AVAILABLE")


def tls_context(*, check: bool) -> ssl.SSLContext:
    """What TLS is spoken with: certificates are proven, or whichever comes is taken and looked at afterwards."""
    context = ssl.create_default_context()
    if not check:
        context.check_hostname = False
        context.verify_mode = ssl.CERT_NONE
    return context


def sha256_of_certificate(wrapped: ssl.SSLSocket) -> str:
    """The SHA-256 of the certificate that the other side shows, 64 hex digits."""
    return hashlib.sha256(wrapped.getpeercert(binary_form=True) or b"").hexdigest()


def tls_trouble(error: ssl.SSLError) -> str:
    """Why the two find no common TLS, and the way out."""
    if error.reason in ("WRONG_VERSION_NUMBER", "HTTP_REQUEST", "RECORD_LAYER_FAILURE"):
        return "does not speak TLS there. Write ipp:// instead of ipps://, or the port where it does."
    if error.reason in OLD:
        return "speaks only an old TLS that is not safe any more. Update it, or print over a queue of CUPS."
    return f"cannot be talked to over TLS ({error.reason or 'no reason given'})."
