"""`print-folder remove`: an order out of the archive for good, after asking."""

from typing import Annotated

import typer

from watcher.commands.options import NAME, ArchivedArgument, SettingsOption
from watcher.commands.settings_file import load
from watcher.errors import WrongUsage

_NOBODY = f"Nobody answered, so nothing was removed. Without being asked: {NAME} remove ORDER --yes"


def remove(
    order: ArchivedArgument,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask.")] = False,
    settings: SettingsOption = None,
) -> None:
    """Take an order out of the archive for good."""
    from loguru import logger

    from watcher.archive.remove import plan_removal, remove_order
    from watcher.records.log import EventLog
    from watcher.records.timestamps import local_now

    logger.remove()  # what is said on the screen is printed
    folders = load(settings).folders
    removal = plan_removal(order, folders)
    print(removal.says)
    if yes or _confirmed():
        remove_order(removal, EventLog(folders.outbox / "log.txt", local_now, folders.outbox.is_dir))
        print("It is removed.")
    else:
        print("Nothing was removed.")


def _confirmed() -> bool:
    """Ask until the answer is yes or no; Enter alone is no."""
    while True:
        try:
            answer = input("Remove it? [y/N]: ").strip().casefold()
        except EOFError:
            print()  # behind the question
            raise WrongUsage(_NOBODY) from None
        if answer in ("y", "yes", "n", "no", ""):
            return answer.startswith("y")
        print("Please answer y or n.")
