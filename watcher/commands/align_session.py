"""The printer, sheet and settings that a sub-command of `print-folder align PRINTER` works on."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from watcher.commands.settings_file import load

if TYPE_CHECKING:
    from datetime import datetime

    from watcher.align.dialogue import Dialogue
    from watcher.align.session import Session
    from watcher.settings.model import Settings


@dataclass(frozen=True, kw_only=True)
class AlignArguments:
    """The arguments and options before a sub-command of `align`.

    Attributes:
        printer: as the settings call it.
        sheet: likewise; None where it was not given.
        settings: the settings file; None where it was not given.
    """

    printer: str
    sheet: str | None
    settings: Path | None

    def load(self) -> "Settings":
        """Read the settings."""
        return load(self.settings)


def arguments_of(context: typer.Context, sheet: str | None, settings: Path | None) -> AlignArguments:
    """Give the arguments of a sub-command; `--sheet` and `--settings` behind it win over those before it."""
    before: AlignArguments = context.obj
    return replace(before, sheet=sheet or before.sheet, settings=settings or before.settings)


def session_of(context: typer.Context, sheet: str | None, settings: Path | None) -> "Session":
    """Open the session that a sub-command is for.

    Raises:
        WrongUsage: there is no such printer or sheet, or the sheet must be named.
        SettingsRefused: settings.toml or alignment.toml has faults.
    """
    from watcher.align.session import open_session

    meant = arguments_of(context, sheet, settings)
    return open_session(meant.load(), meant.printer, meant.sheet, dialogue_on_screen(), to_the_second())


def dialogue_on_screen() -> "Dialogue":
    """Give a dialogue on standard output and input."""
    from watcher.align.dialogue import Dialogue

    return Dialogue(say=print, listen=input)


def to_the_second() -> "datetime":
    """Give the time as alignment.toml has it."""
    from watcher.records.timestamps import local_now

    return local_now().replace(microsecond=0)
