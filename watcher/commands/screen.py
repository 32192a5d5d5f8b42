"""Write the output of a command: tables on a terminal, plain lines in a pipe, JSON for machines."""

import json
import sys
from collections.abc import Callable, Iterable
from io import TextIOWrapper
from typing import Any


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
