"""`print-folder status`: what waits, is being made, is held, is finished."""

from typing import TYPE_CHECKING, Any

import typer

from watcher.commands.options import JsonOption, SettingsOption
from watcher.commands.settings_file import load_any
from watcher.errors import ExitCode

if TYPE_CHECKING:
    from watcher.status.model import Overview


def status(as_json: JsonOption = False, settings: SettingsOption = None) -> None:
    """Show what waits, is being made, is held, is finished."""
    from watcher.settings.trusted import trust_notes
    from watcher.status.overview import read_overview
    from watcher.work.walls.missing import missing_walls

    loaded = load_any(settings)
    seen = read_overview(loaded, (*filter(None, (missing_walls(),)), *trust_notes(loaded)))
    show(seen, as_json=as_json)
    raise typer.Exit(ExitCode.HELD if seen.needs_somebody else ExitCode.WELL)


def show(seen: "Overview", *, as_json: bool) -> None:
    """Write the overview to standard output: tables on a terminal, plain lines in a pipe, JSON where asked for."""
    from watcher.commands.screen import tell
    from watcher.records.timestamps import local_now
    from watcher.status.json_output import to_json
    from watcher.status.lines import lines

    def tables(console: Any) -> None:
        from watcher.status.tables import print_tables  # costs time that a pipe need not wait for

        print_tables(seen, local_now(), console)

    tell(as_json=as_json, machines=lambda: to_json(seen), lines=lambda: lines(seen, local_now()), tables=tables)
