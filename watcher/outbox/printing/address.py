"""The address of a printer, taken apart."""

import ipaddress
from dataclasses import dataclass
from urllib.parse import urlsplit

IPP_PORT = 631


@dataclass(frozen=True, kw_only=True)
class Address:
    """Where a printer is: the parts of its URI (RFC 3510, RFC 7472)."""

    uri: str
    host: str
    port: int
    path: str
    is_encrypted: bool

    @classmethod
    def parse(cls, uri: str) -> "Address":
        """The parts of an `ipp://` or `ipps://` address that the settings have accepted."""
        parts = urlsplit(uri)
        path = f"{parts.path}?{parts.query}" if parts.query else parts.path
        return cls(
            uri=uri,
            host=parts.hostname or "",
            port=parts.port or IPP_PORT,
            path=path,
            is_encrypted=parts.scheme.lower() == "ipps",
        )

    @property
    def is_this_computer(self) -> bool:
        """Whether nothing that is sent leaves this computer."""
        if self.host.lower() == "localhost":
            return True
        try:
            return ipaddress.ip_address(self.host).is_loopback
        except ValueError:
            return False
