"""What in the settings takes effect only when a person at this computer has said yes to it.

`settings.toml` may lie in a folder that others can write to. A command, a printer's address, a cluster, and every path
that leads out of the print folder would let them run programs here or reach files that are none of theirs.
"""

import json
import os
import shlex
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum, auto
from pathlib import Path

from pydantic import BaseModel

from watcher.settings.faults import show_key
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.terms import Engine

COMMAND_KEY = "service.on_finished"
_OF_A_PRINTER = "login_file"  # goes with the printer's address: whoever has a yes to both has a yes to the two together


class Without(Enum):
    """What happens without a yes."""

    NOT_DONE = auto()  # this alone is left undone, and the orders go on
    NOT_STARTED = auto()  # these settings are not put in force


@dataclass(frozen=True, kw_only=True)
class Trusted:
    """One thing that wants a yes.

    Attributes:
        key: its place in the settings, as TOML writes it: `printers.laser.queue`.
        value: what the yes is to, whole; another value is another thing.
        what: the same for people, without its value: `the command after each order`.
        shown: the value for people; it may hold anything that the settings file holds.
        without: what happens without a yes.
        fault: why nobody can say yes to it, as a sentence, or None.
        of_a_printer: whether it is the address of a printer.
    """

    key: str
    value: str
    what: str
    shown: str
    without: Without
    fault: str | None = None
    of_a_printer: bool = False


def things_to_trust(settings: Settings) -> tuple[Trusted, ...]:
    """Everything in the settings that wants a yes, in the order of the file."""
    return tuple(_things(settings))


def paths_in(settings: Settings) -> tuple[Path, ...]:
    """Every file and folder that the settings name, as they name it."""
    tables = [settings.folders, *(table for _, named in _named_tables(settings) for table in named.values())]
    return tuple(value for table in tables for _, value in table if isinstance(value, Path))


def command_to_trust(settings: Settings) -> Trusted | None:
    """The shop's own command; None where there is none."""
    words = settings.service.on_finished
    if not words:
        return None
    return Trusted(
        key=COMMAND_KEY,
        value=json.dumps(words),
        what="the command after each order",
        shown=shlex.join(words),
        without=Without.NOT_DONE,
        fault=next(_faults_of_command(words, settings), None),
    )


def printer_to_trust(printer: PrinterSettings) -> Trusted | None:
    """A printer's address with its certificate and its login; None where it has no address."""
    if printer.queue is None:
        return None
    login = str(_end_of(printer.login_file)) if printer.login_file else None
    more = [
        *([f"with the certificate {printer.fingerprint}"] if printer.fingerprint else []),
        *([f"with the name and password in {printer.login_file}"] if printer.login_file else []),
    ]
    return Trusted(
        key=show_key(("printers", printer.name, "queue")),
        value=json.dumps([printer.queue, printer.fingerprint, login]),
        what=f"the printer {printer.name}",
        shown=", ".join([printer.queue, *more]),
        without=Without.NOT_DONE,
        of_a_printer=True,
    )


def _faults_of_command(words: Sequence[str], settings: Settings) -> Iterator[str]:
    """Tell of each file of the command that lies where others may write: a yes to its name would be worth nothing."""
    home = Path(os.path.realpath(settings.folder))
    for number, word in enumerate(words):
        for path in (word, word.partition("=")[2]):
            is_path = os.sep in path if number == 0 else bool(path)
            end = Path(os.path.realpath(path))
            if is_path and end.is_relative_to(home) and end.is_file():
                yield (
                    f"The command after each order is not run: {end.name}, which it uses, lies in the print folder, and"
                    " whoever can write there could change it. Move it out, correct on_finished, then: print-folder"
                    " trust"
                )


def _things(settings: Settings) -> Iterator[Trusted]:
    yield from _places(("folders",), settings.folders, settings)
    if command := command_to_trust(settings):
        yield command
    if cluster := _cluster(settings):
        yield cluster
    for kind, tables in _named_tables(settings):
        for name, table in tables.items():
            yield from _places((kind, name), table, settings)
    for printer in settings.printers.values():
        if one := printer_to_trust(printer):
            yield one


def _named_tables(settings: Settings) -> Iterator[tuple[str, Mapping[str, BaseModel]]]:
    for kind in type(settings).model_fields:
        tables = getattr(settings, kind)
        if isinstance(tables, Mapping):
            yield kind, tables


def _cluster(settings: Settings) -> Trusted | None:
    service = settings.service
    if service.engine is Engine.LOCAL or service.scheduler is None:
        return None
    return Trusted(
        key="service.scheduler",
        value=service.scheduler,
        what="the cluster on which orders are made",
        shown=service.scheduler,
        without=Without.NOT_STARTED,
    )


def _places(key: tuple[str, ...], table: BaseModel, settings: Settings) -> Iterator[Trusted]:
    """The paths of a table that lead out of the print folder; links are followed."""
    home = Path(os.path.realpath(settings.folder))
    for field, value in table:
        if not isinstance(value, Path) or field == _OF_A_PRINTER:
            continue
        end = _end_of(value)
        if not end.is_relative_to(home):
            by_link = "" if end == value else f", which is {end}"
            yield Trusted(
                key=show_key((*key, field)),
                value=os.fspath(end),
                what="a path out of the print folder",
                shown=f"{value}{by_link}",
                without=Without.NOT_STARTED,
            )


def _end_of(path: Path) -> Path:
    """Where a path ends once its links are followed; no part of it need be there."""
    return Path(os.path.realpath(path))
