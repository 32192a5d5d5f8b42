"""The secret of one print folder, in the person's own configuration folder, with which a yes is signed.

The settings name the folder `state`, where the signed yes lies, so whoever writes the settings can put one of his own
there. The secret lies where no settings lead.
"""

import hashlib
import hmac
import os
import secrets
import stat
import sys
from collections.abc import Mapping
from pathlib import Path

from watcher.disk import read_regular_file, write_durably
from watcher.errors import ServiceStopped

_BYTES = 32
_LARGEST_FILE = 200
_AGAIN = "print-folder trust"


class NoSecret(ServiceStopped):
    """A secret that is there and cannot be used; the message says why, and the way out."""


def config_folder(environment: Mapping[str, str] = os.environ, system: str = sys.platform) -> Path:
    """The folder of this program among the person's own configuration.

    Source: XDG Base Directory Specification 0.8 (`XDG_CONFIG_HOME` counts only when absolute); elsewhere the usual
    place of the system.
    """
    if system == "win32" and environment.get("APPDATA"):
        return Path(environment["APPDATA"]) / "print-folder"
    usual = Path.home() / ("Library/Application Support" if system == "darwin" else ".config")
    given = Path(environment.get("XDG_CONFIG_HOME", ""))
    return (given if given.is_absolute() else usual) / "print-folder"


def secret_file(print_folder: Path) -> Path:
    """Where the secret of a print folder lies."""
    place = os.fsencode(os.path.realpath(print_folder))
    return config_folder() / f"{hashlib.sha256(place).hexdigest()[:16]}.secret"


def read_secret(print_folder: Path) -> bytes | None:
    """The secret of a print folder; None where there is none yet.

    Raises:
        NoSecret: others can read it, or it is none.
    """
    file = secret_file(print_folder)
    if Path(os.path.realpath(file)).is_relative_to(os.path.realpath(print_folder)):
        raise NoSecret(f"{file} lies in the print folder, where others may write. Choose another print folder.")
    if not os.path.lexists(file):
        return None
    found = read_regular_file(file, _LARGEST_FILE)
    if found is None:
        raise NoSecret(f"{file} cannot be read. Delete it, so that it is made anew, then: {_AGAIN}")
    data, status = found
    _check_rights(file, status)
    try:
        secret = bytes.fromhex(data.decode("ascii"))
    except ValueError:
        secret = b""
    if len(secret) != _BYTES:
        raise NoSecret(f"{file} is damaged. Delete it, so that it is made anew, then: {_AGAIN}")
    return secret


def new_secret() -> bytes:
    """A secret that nobody can guess."""
    return secrets.token_bytes(_BYTES)


def write_secret(print_folder: Path, secret: bytes) -> None:
    """Put a secret in the place of the one before; only its owner can read it.

    Raises:
        OSError: it cannot be written.
    """
    file = secret_file(print_folder)
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    before = os.umask(0o077)
    try:
        write_durably(file, secret.hex().encode("ascii"))
    finally:
        os.umask(before)


def signature(secret: bytes, message: str) -> str:
    """The HMAC (RFC 2104, SHA-256) of a message, in hex."""
    return hmac.new(secret, message.encode("utf-8", "surrogatepass"), hashlib.sha256).hexdigest()


def _check_rights(file: Path, found: os.stat_result) -> None:
    if sys.platform == "win32":
        return  # it keeps rights elsewhere
    if found.st_uid != os.getuid():
        raise NoSecret(f"{file} belongs to another user than the one this program runs as. Delete it, then: {_AGAIN}")
    if found.st_mode & (stat.S_IRWXG | stat.S_IRWXO):
        raise NoSecret(f"{file} can be read by others. Delete it, so that it is made anew, then: {_AGAIN}")
