"""`print-folder check`: the settings, the printers that have a queue, and art before it is dropped."""

from pathlib import Path
from typing import Annotated

import typer

from watcher.commands.options import SettingsOption
from watcher.commands.settings_file import load_any
from watcher.errors import ExitCode, WrongUsage


def check(
    art: Annotated[list[Path] | None, typer.Argument(metavar="ART", help="Art files to look at as well.")] = None,
    card: Annotated[str | None, typer.Option("--card", metavar="CARD", help="The card that the art is for.")] = None,
    printers: Annotated[bool, typer.Option("--printers", help="Ask the printers alone, not the cards.")] = False,
    settings: SettingsOption = None,
) -> None:
    """Check the settings, the printers, and art before it is dropped.

    It ends with 2 when a card does not fit its sheet, with 1 when an order would be held or its sheets not be sent.
    """
    from watcher.commands import check_report, printers_report
    from watcher.settings.trusted import check_places

    if art and printers:
        raise WrongUsage("--printers asks the printers alone. Leave it out, or the art.")
    loaded = load_any(settings)
    answered = ExitCode.WELL
    if art:
        check_places(loaded)
        lines = check_report.check_art(loaded, art, card)
    elif printers:
        lines = printers_report.ask_printers(loaded)
    else:
        lines = printers_report.describe_with_printers(loaded)
    for line in lines:
        print(line.text)
        answered = max(answered, line.exit_code)
    raise typer.Exit(answered)
