"""Write the output of a command: tables on a terminal, plain lines in a pipe, JSON for machines."""

import json
import sys
import time
from collections.abc import Callable, Iterable
from io import TextIOWrapper
from typing import Any, Self

_SOON_S = 1.0  # what is read sooner is not worth a word
_EVERY_S = 0.5


def tell(
    *,
    as_json: bool,
    machines: Callable[[], object],
    lines: Callable[[], Iterable[str]],
    tables: Callable[[Any], None],
) -> None:
    """Write to standard output, in one of three ways.

    Args:
        as_json: whether JSON was asked for.
        machines: gives what `json.dumps` takes.
        lines: gives the lines, without their ends.
        tables: prints on a `rich` console, in which names are never read as mark-up.
    """
    if as_json:
        sys.stdout.write(json.dumps(machines(), indent=2) + "\n")
    elif sys.stdout.isatty():
        from rich.console import Console  # costs time that a pipe need not wait for

        tables(Console(highlight=False, emoji=False, markup=False))
    else:
        if isinstance(sys.stdout, TextIOWrapper):  # a name may have signs that the pipe's encoding has not
            sys.stdout.reconfigure(errors="backslashreplace")
        sys.stdout.writelines(f"{line}\n" for line in lines())


class ReadingShown:
    """Says on standard error how far the reading of an archive is that is not known yet, where that takes a while."""

    def __init__(self) -> None:
        self._next = time.monotonic() + _SOON_S
        self._is_shown = False

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self._is_shown and sys.stderr.isatty():
            sys.stderr.write("\n")

    def __call__(self, done: int, of_all: int) -> None:
        """Say it, now and then: over the line before on a terminal, once elsewhere."""
        is_terminal = sys.stderr.isatty()
        if time.monotonic() < self._next or (self._is_shown and not is_terminal):
            return
        self._next, self._is_shown = time.monotonic() + _EVERY_S, True
        said = f"Reading the archive, which takes a while this first time: {done:,} of {of_all:,} orders."
        sys.stderr.write(f"\r{said}" if is_terminal else f"{said}\n")
        sys.stderr.flush()
