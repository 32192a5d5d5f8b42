"""The name and password for a printer: read from a file of the owner's alone, and shown to the printer.

Source: RFC 7617 (basic), RFC 7616 (digest, quality "auth").
"""

import base64
import hashlib
import os
import secrets
import stat
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from urllib.request import parse_http_list

from watcher.errors import PrinterRefused

LARGEST_FILE = 4096
_HASHES: Mapping[str, Callable[[bytes], str]] = {
    "SHA-256": lambda data: hashlib.sha256(data).hexdigest(),
    "MD5": lambda data: hashlib.md5(data, usedforsecurity=False).hexdigest(),  # what most printers speak
}


@dataclass(frozen=True, kw_only=True)
class Login:
    """A name and its password, and the file that they are from."""

    file: Path
    name: str
    password: str = field(repr=False)


def read_login(file: Path, print_folder: Path) -> Login:
    """Read a login: the name on the first line of the file, the password on the second.

    Raises:
        PrinterRefused: the file lies in the print folder, others may read it, or it has no two lines.
    """
    if file.resolve().is_relative_to(print_folder.resolve()):
        raise _refusal(file, f"lies in the print folder, which others may see; move it out of {print_folder}")
    try:
        with file.open("rb") as stream:
            _check_rights(file, os.fstat(stream.fileno()))
            data = stream.read(LARGEST_FILE)
    except OSError as error:
        raise _refusal(file, f"cannot be read ({error.strerror})") from error
    lines = data.decode("utf-8", "replace").splitlines()
    if len(lines) < 2 or not lines[0].strip() or not lines[1] or ":" in lines[0]:
        raise _refusal(file, "needs two lines: the name, without a colon, and the password")
    return Login(file=file, name=lines[0].strip(), password=lines[1])


def _check_rights(file: Path, found: os.stat_result) -> None:
    if not stat.S_ISREG(found.st_mode):
        raise _refusal(file, "is no file")
    if not hasattr(os, "getuid"):
        return  # Windows keeps rights elsewhere
    if found.st_uid != os.getuid():
        raise _refusal(file, "belongs to another user than the one this program runs as")
    if found.st_mode & (stat.S_IRWXG | stat.S_IRWXO):
        raise _refusal(file, f"can be read by others; run: chmod 600 {file}")


def _refusal(file: Path, why: str) -> PrinterRefused:
    return PrinterRefused(f"The login_file {file} {why}.")


def authorization(login: Login, challenges: list[str], *, uri: str, basic_is_safe: bool) -> Callable[[], str] | None:
    """Give what answers a printer's challenges, digest before basic; None when there is nothing safe to answer.

    Args:
        login: the name and password.
        challenges: the `WWW-Authenticate` headers.
        uri: the path that is asked for.
        basic_is_safe: whether nobody else can read what is sent, so that the password may go as it is.

    Returns:
        A function that gives the `Authorization` header of one request after the other.
    """
    for scheme, asked in map(_challenge, challenges):
        if scheme == "digest" and asked.get("algorithm", "MD5").upper() in _HASHES:
            return _Digest(login, asked, uri)
    if basic_is_safe and any(_challenge(one)[0] == "basic" for one in challenges):
        pair = base64.b64encode(f"{login.name}:{login.password}".encode()).decode("ascii")
        return lambda: f"Basic {pair}"
    return None


def _challenge(header: str) -> tuple[str, dict[str, str]]:
    scheme, _, rest = header.strip().partition(" ")
    pairs = (part.partition("=") for part in parse_http_list(rest))
    return scheme.lower(), {key.strip().lower(): value.strip().strip('"') for key, _, value in pairs}


class _Digest:
    """The digest of one request after the other, with a count of its own (RFC 7616 3.4)."""

    def __init__(self, login: Login, asked: Mapping[str, str], uri: str) -> None:
        self.login, self.asked, self.uri, self.count = login, asked, uri, 0

    def __call__(self) -> str:
        self.count += 1
        return digest_answer(self.login, self.asked, f"POST:{self.uri}", f"{self.count:08x}", secrets.token_hex(8))


def digest_answer(login: Login, asked: Mapping[str, str], request: str, count: str, ours: str) -> str:
    """Give the `Authorization` header for a digest challenge.

    Args:
        login: the name and password.
        asked: the parts of the challenge.
        request: method and path with a colon between.
        count: number of the request under this challenge, 8 hex digits.
        ours: some random characters of our own (`cnonce`).
    """
    algorithm = asked.get("algorithm", "MD5").upper()
    digest, realm, nonce = _HASHES[algorithm], asked.get("realm", ""), asked.get("nonce", "")
    secret = digest(f"{login.name}:{realm}:{login.password}".encode())
    fields = {"username": login.name, "realm": realm, "nonce": nonce, "uri": request.partition(":")[2]}
    bare = {"algorithm": algorithm}
    if "auth" in [word.strip() for word in asked.get("qop", "").split(",")]:
        fields["response"] = digest(f"{secret}:{nonce}:{count}:{ours}:auth:{digest(request.encode())}".encode())
        fields["cnonce"] = ours
        bare |= {"qop": "auth", "nc": count}
    else:
        fields["response"] = digest(f"{secret}:{nonce}:{digest(request.encode())}".encode())
    if "opaque" in asked:
        fields["opaque"] = asked["opaque"]
    quoted = [f'{key}="{value}"' for key, value in fields.items()]
    return "Digest " + ", ".join([*quoted, *(f"{key}={value}" for key, value in bare.items())])
