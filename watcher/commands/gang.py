"""`print-folder gang`: which orders wait to share sheets; with `--now` they are made."""

from typing import Annotated

import typer

from watcher.commands.options import SettingsOption
from watcher.commands.settings_file import load


def gang(
    now: Annotated[bool, typer.Option("--now", help="Make now what waits.")] = False,
    settings: SettingsOption = None,
) -> None:
    """Show which orders wait to share sheets, and what that saves."""
    from watcher.commands.at_work import leave_or_make
    from watcher.commands.gang_report import lines_of_gang
    from watcher.records.timestamps import local_now
    from watcher.service.life.gang_runs import WORD
    from watcher.service.lock import is_locked

    loaded = load(settings)
    for line in lines_of_gang(loaded, local_now()):
        print(line)
    if not now:
        return
    if is_locked(loaded.folders.state):
        (loaded.folders.state / WORD).touch()  # the service sees it at its next look
    raise typer.Exit(leave_or_make(loaded, "The program that is running makes them at its next look."))
