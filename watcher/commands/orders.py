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

    archive = load(settings).folders.archive
    show(list_orders(archive, " ".join(text or ()), since), as_json=as_json)
