"""What a person at this computer has said yes to, kept as signed hashes in `state/trusted.toml`.

Delete the file, or the whole of `state`, to be asked again. Each yes makes the secret anew, so that an earlier file of
this name, put back, is worth nothing.
"""

import json
import os
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from hmac import compare_digest
from pathlib import Path

import tomli_w

from watcher.disk import read_regular_file, write_durably
from watcher.errors import ExitCode, PrinterRefused, ServiceStopped
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.settings.secret import NoSecret, new_secret, read_secret, signature, write_secret
from watcher.settings.trust import COMMAND_KEY, Trusted, Without, command_to_trust, printer_to_trust, things_to_trust

FILE_NAME = "trusted.toml"
COMMAND = "print-folder trust"
_LARGEST_FILE = 1_000_000
_HEAD = "# What was said yes to at this computer (print-folder trust). Delete this file to be asked again.\n"

_NOBODY = "It is new or was changed, and nobody at this computer has said yes to"

_Kept = Mapping[str, Sequence[str]]


class NotTrusted(ServiceStopped):
    """Settings that want a yes before they are put in force."""

    exit_code = ExitCode.USAGE

    def __init__(self, things: Sequence[Trusted], settings: Settings) -> None:
        listed = "; ".join(f"{one.key} is {one.shown} ({one.what})" for one in things)
        why = f"{listed}. {_NOBODY} it. If it is right: "
        super().__init__(f"{settings.path.name}: {why}{way_out(settings)}")
        self.short = f"{why}{COMMAND}"  # names no folder but those in the settings


def not_trusted(settings: Settings, things: Iterable[Trusted] | None = None) -> tuple[Trusted, ...]:
    """What of the settings nobody at this computer has said yes to.

    Args:
        settings: as they are now; `folders.state` has what is kept.
        things: only these; None: everything.
    """
    asked = tuple(things_to_trust(settings) if things is None else things)
    if not asked:
        return ()
    try:
        secret = read_secret(settings.folder)
    except NoSecret:
        return asked
    if secret is None:
        return asked
    kept = _read(settings)
    return tuple(one for one in asked if one.fault or not _is_kept(one, kept, secret, settings))


def is_command_trusted(settings: Settings) -> bool:
    """Whether somebody has said yes to the command after each order; without a command too."""
    command = command_to_trust(settings)
    return not not_trusted(settings, [command] if command else [])


def check_printer(printer: PrinterSettings, settings: Settings) -> None:
    """Make sure that somebody has said yes to the address of a printer.

    Raises:
        PrinterRefused: nobody has; nothing may be sent to it.
    """
    thing = printer_to_trust(printer)
    for one in not_trusted(settings, [thing] if thing else []):
        raise PrinterRefused(say(one))


def check_places(settings: Settings) -> None:
    """Make sure that somebody has said yes to all without which these settings are not put in force.

    Raises:
        NotTrusted: nobody has; one line says what, and the way out.
    """
    found = [one for one in not_trusted(settings) if one.without is Without.NOT_STARTED]
    if found:
        raise NotTrusted(found, settings)


def say(one: Trusted, way_out: str = COMMAND) -> str:
    """Tell what is left undone for want of a yes, and the way out.

    Args:
        one: nobody has said yes to it.
        way_out: the command that asks for it.
    """
    if one.fault:
        return one.fault
    if one.without is Without.NOT_STARTED:
        return (
            f"{one.key} is {one.shown} ({one.what}). {_NOBODY} it. Until then the program does"
            f" not start. If it is right: {way_out}"
        )
    undone = "is not run" if one.key == COMMAND_KEY else "is not used"
    return f"{one.what[0].upper()}{one.what[1:]} {undone}: {one.shown}. {_NOBODY} it. If it is right: {way_out}"


def trust_notes(settings: Settings) -> tuple[str, ...]:
    """What is left undone for want of a yes, a sentence each; nothing where all is well."""
    trouble = secret_trouble(settings)
    return tuple(map(say, not_trusted(settings))) + ((trouble,) if trouble else ())


def secret_trouble(settings: Settings) -> str | None:
    """What is wrong with the secret by which a yes is known, if anything."""
    try:
        read_secret(settings.folder)
    except NoSecret as error:
        return str(error)
    return None


def way_out(settings: Settings) -> str:
    """The command that asks for the yes, whole."""
    return f"{COMMAND} --settings {settings.path}"


def is_new(one: Trusted, settings: Settings) -> bool:
    """Whether nothing was ever said yes to in this place, as far as `state` tells; for people."""
    return one.key not in _read(settings)


def keep_yes(settings: Settings) -> None:
    """Keep the yes to everything in the settings as they are now, and to nothing else.

    Raises:
        NoSecret: the configuration folder lies in the print folder, or its secret is no secret any more.
        OSError: it cannot be written.
    """
    read_secret(settings.folder)
    secret, things = new_secret(), things_to_trust(settings)
    signed = {one.key: [_signed(one, secret, settings)] for one in things}
    before = _read(settings)
    both = {key: [*hashes, *before.get(key, ())] for key, hashes in signed.items()}
    settings.folders.state.mkdir(parents=True, exist_ok=True)
    _write(settings, both)  # until the secret is the new one the old ones hold
    write_secret(settings.folder, secret)
    _write(settings, signed)


def _is_kept(one: Trusted, kept: _Kept, secret: bytes, settings: Settings) -> bool:
    wanted = _signed(one, secret, settings)
    return any(compare_digest(wanted, found) for found in kept.get(one.key, ()))


def _signed(one: Trusted, secret: bytes, settings: Settings) -> str:
    """The signature under one thing of one print folder; of another folder it would be another."""
    return signature(secret, json.dumps([os.path.realpath(settings.folder), one.key, one.value]))


def _file(settings: Settings) -> Path:
    return settings.folders.state / FILE_NAME


def _write(settings: Settings, kept: _Kept) -> None:
    body = tomli_w.dumps({"yes": {key: list(hashes) for key, hashes in kept.items()}})
    write_durably(_file(settings), f"{_HEAD}{body}".encode())


def _read(settings: Settings) -> dict[str, list[str]]:
    """What is kept, whoever wrote it; what is no hash of ours is passed over."""
    found = read_regular_file(_file(settings), _LARGEST_FILE)
    try:
        said = tomllib.loads(found[0].decode("utf-8")).get("yes") if found else None
    except (ValueError, RecursionError):
        said = None
    if not isinstance(said, dict):
        return {}
    return {
        key: [one for one in hashes if isinstance(one, str) and one.isascii()]
        for key, hashes in said.items()
        if isinstance(hashes, list)
    }
