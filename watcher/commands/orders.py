"""`print-folder orders`: what was made, and the paper that it took."""

import sys
from datetime import date
from typing import Annotated

import typer

from watcher.commands.options import JsonOption, SettingsOption, day
from watcher.commands.settings_file import load

MOST_ON_A_SCREEN = 100


def orders(
    text: Annotated[list[str] | None, typer.Argument(metavar="TEXT", help="Only those that have it.")] = None,
    since: Annotated[
        date | None, typer.Option(metavar="DATE", parser=day("--since"), help="Made on this day or later.")
    ] = None,
    as_json: JsonOption = False,
    settings: SettingsOption = None,
) -> None:
    """List what was made, and the paper that it took."""
    from watcher.archive.listing import list_orders
    from watcher.commands.orders_report import show
    from watcher.commands.screen import ReadingShown

    folders = load(settings).folders
    with ReadingShown() as progress:
        listed = list_orders(folders.archive, " ".join(text or ()), since, folders.state, progress)
    shown, more = listed.newest(MOST_ON_A_SCREEN) if sys.stdout.isatty() and not as_json else (listed, 0)
    show(shown, as_json=as_json)
    if more:
        print(
            f"The newest {MOST_ON_A_SCREEN} are listed, {more:,} more are not: orders TEXT or --since DATE finds them."
        )
