"""`print-folder retry`: a held order taken up again."""

from typing import Annotated

import typer

from watcher.commands.options import SettingsOption
from watcher.commands.settings_file import load


def retry(
    order: Annotated[str, typer.Argument(metavar="ORDER", help="The held order, as its folder in held is called.")],
    anyway: Annotated[bool, typer.Option("--anyway", help="Print it in spite of what was found.")] = False,
    settings: SettingsOption = None,
) -> None:
    """Take up a held order again."""
    from watcher.commands.at_work import leave_or_make
    from watcher.outbox.hold import give_back

    loaded = load(settings)
    folder = give_back(order, held=loaded.folders.held, inbox=loaded.folders.inbox, accepted=anyway)
    said = f"{folder.name} is back in the inbox; the program that is running takes it up."
    raise typer.Exit(leave_or_make(loaded, said))
