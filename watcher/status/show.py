"""Which way the overview is shown: by what standard output is, and by what was asked."""

from typing import Any

from watcher.outbox.model import Overview
from watcher.screen import tell
from watcher.shop import local_now
from watcher.status.lines import lines
from watcher.status.machines import to_json


def show(seen: Overview, *, as_json: bool) -> None:
    """Write the overview to standard output."""

    def tables(console: Any) -> None:
        from watcher.status.tables import print_tables  # costs time that a pipe need not wait for

        print_tables(seen, local_now(), console)

    tell(as_json=as_json, machines=lambda: to_json(seen), lines=lambda: lines(seen, local_now()), tables=tables)
