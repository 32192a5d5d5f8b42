"""Which way the overview is shown: by what standard output is, and by what was asked."""

import json
import sys
from io import TextIOWrapper

from watcher.outbox.model import Overview
from watcher.shop import local_now
from watcher.status.lines import lines
from watcher.status.machines import to_json


def show(seen: Overview, *, as_json: bool) -> None:
    """Write the overview to standard output."""
    if as_json:
        sys.stdout.write(json.dumps(to_json(seen), indent=2) + "\n")
    elif sys.stdout.isatty():
        _show_tables(seen)
    else:
        if isinstance(sys.stdout, TextIOWrapper):  # a name may have signs that the pipe's encoding has not
            sys.stdout.reconfigure(errors="backslashreplace")
        sys.stdout.writelines(f"{line}\n" for line in lines(seen, local_now()))


def _show_tables(seen: Overview) -> None:
    from rich.console import Console  # costs time that a pipe need not wait for

    from watcher.status.tables import print_tables

    print_tables(seen, local_now(), Console(highlight=False, emoji=False, markup=False))
