"""`print-folder trust`: say yes to what the settings run, send and open outside the print folder."""

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from watcher.commands.options import SettingsOption
from watcher.commands.settings_file import load_any
from watcher.errors import ExitCode, WrongUsage

if TYPE_CHECKING:
    from watcher.settings.model import Settings
    from watcher.settings.trust import Trusted

_LONGEST = 100_000  # nothing of a command is cut off: it is shown to be judged


def trust(
    yes: Annotated[bool, typer.Option("--yes", help="Say yes without being asked.")] = False,
    show: Annotated[bool, typer.Option("--show", help="Only show what wants a yes, and what has one.")] = False,
    settings: SettingsOption = None,
) -> None:
    """Say yes to what settings run, send to and open outside.

    Whoever can write to the print folder can change settings.toml. So what it runs, sends to and opens outside is left
    alone until there is a yes at this computer to it, and again when it is changed; page, log and status name it. One
    yes is to everything that is listed: read it.

    The yes is kept in the folder `state`, signed with a secret in your own configuration folder (~/.config/print-folder
    on Linux). Without `state`, and when the print folder was moved, you are asked again. A script that the command uses
    must lie outside the print folder. Links are followed to their end.
    """
    from watcher.settings.trust import things_to_trust
    from watcher.settings.trusted import keep_yes, not_trusted

    loaded = load_any(settings)
    things, wanting = things_to_trust(loaded), not_trusted(loaded)
    print(f"{loaded.path}:" if things else f"{loaded.path}: nothing in these settings wants a yes.")
    for one in things:
        print(f"  {_mark(one, wanting, loaded)}: {_line(one)}")
    if things and not wanting:
        print("All of it has a yes.")
    if show or not wanting:
        raise typer.Exit(ExitCode.HELD if wanting else ExitCode.WELL)
    if not (yes or _confirmed()):
        print("Nothing was changed.")
        raise typer.Exit(ExitCode.HELD)
    keep_yes(loaded)
    print("Kept. A print-folder that is at work takes it up at its next look; other folders at its next start.")


def _mark(one: "Trusted", wanting: "tuple[Trusted, ...]", settings: "Settings") -> str:
    from watcher.settings.trusted import is_new

    if one not in wanting:
        return "has a yes"
    return "new" if is_new(one, settings) else "changed"


def _line(one: "Trusted") -> str:
    from watcher.records.plain_text import one_line

    return f"{one.key}, {one.what}: {one_line(one.shown, most=_LONGEST)}"


def _confirmed() -> bool:
    """Ask until the answer is yes or no; Enter alone is no."""
    if sys.stdin is None or not sys.stdin.isatty():
        raise WrongUsage("There is nobody to ask. When it is all right, say so: print-folder trust --yes")
    while True:
        try:
            answer = input("Is all of this yours, and right? [y/N]: ").strip().casefold()
        except EOFError:
            raise typer.Abort from None
        if answer in ("y", "yes", "n", "no", ""):
            return answer.startswith("y")
        print("Please answer y or n.")
