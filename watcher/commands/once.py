"""`print-folder once`: one round of work, then the end."""

import typer

from watcher.commands.options import SettingsOption
from watcher.commands.settings_file import load


def once(settings: SettingsOption = None) -> None:
    """Make what is complete in the inbox now, then end."""
    from watcher.commands.at_work import work_once

    raise typer.Exit(work_once(load(settings)))
