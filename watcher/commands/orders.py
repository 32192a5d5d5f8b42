"""`print-folder orders`: what was made, and the paper that it took."""

from datetime import date
from typing import Annotated

import typer

from watcher.commands.options import JsonOption, SettingsOption, day
from watcher.commands.settings_file import load


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
    show(listed, as_json=as_json)
