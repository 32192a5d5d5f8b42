"""`print-folder check`: the settings, and art before it is dropped."""

from pathlib import Path
from typing import Annotated

import typer

from watcher.commands.options import SettingsOption
from watcher.commands.settings_file import load
from watcher.errors import ExitCode


def check(
    art: Annotated[list[Path] | None, typer.Argument(metavar="ART", help="Art files to look at as well.")] = None,
    card: Annotated[str | None, typer.Option("--card", metavar="CARD", help="The card that the art is for.")] = None,
    settings: SettingsOption = None,
) -> None:
    """Check the settings, and art before it is dropped."""
    from watcher.commands import check_report

    loaded = load(settings)
    answered = ExitCode.WELL
    for line in check_report.check_art(loaded, art, card) if art else check_report.describe_settings(loaded):
        print(line.text)
        answered = max(answered, line.exit_code)
    raise typer.Exit(answered)
