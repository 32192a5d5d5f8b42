"""`print-folder print`: an order's sheets sent to the printer, as renaming its folder does."""

from typing import Annotated

import typer

from watcher.archive.folder_words import MOST_SHEETS
from watcher.commands.options import SettingsOption, whole_number
from watcher.commands.settings_file import load


def print_order(
    order: Annotated[
        str, typer.Argument(metavar="ORDER", help="The order or run, as its folder in the outbox is called.")
    ],
    sheets: Annotated[
        int | None,
        typer.Option(
            "--sheets",
            metavar="N",
            parser=whole_number("--sheets", most=MOST_SHEETS),
            help="So many sheets; without it, all that are still wanted.",
        ),
    ] = None,
    settings: SettingsOption = None,
) -> None:
    """Send an order's sheets to its printer."""
    from watcher.commands.at_work import leave_or_make
    from watcher.commands.print_report import ask_for, exit_code_of

    loaded = load(settings)
    asked = ask_for(loaded, order, sheets)
    code = leave_or_make(loaded, f"{asked.name} is asked for; the program that is running sends it to the printer.")
    raise typer.Exit(max(code, exit_code_of(loaded, asked)))
