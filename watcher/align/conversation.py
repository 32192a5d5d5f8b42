"""Align a printer in a conversation: which sheet, the turn test, then the register."""

from collections.abc import Callable
from datetime import datetime

from watcher.align.dialogue import Dialogue, DialogueEnded
from watcher.align.register.conversation import ask_register
from watcher.align.session import Session, open_session, sheets_of
from watcher.align.turn.conversation import ask_turning
from watcher.errors import ExitCode, WrongUsage
from watcher.settings.alignment import find_printer, load_alignments
from watcher.settings.model import Settings


def converse(
    settings: Settings, printer_name: str, sheet_name: str | None, dialogue: Dialogue, now: datetime
) -> ExitCode:
    """Ask through the turn test and the register, and save the correction.

    Args:
        settings: of the print folder.
        printer_name: as the settings call it.
        sheet_name: likewise; None: it is asked for where the printer has several.
        dialogue: the person.
        now: with offset.

    Returns:
        WELL: all was answered. HELD: the person stopped before; how to go on was said.

    Raises:
        WrongUsage: there is no such printer or sheet, or nobody to ask which sheet.
        SettingsRefused: alignment.toml is damaged.
    """
    load_alignments(settings)
    name = sheet_name or _ask_sheet(settings, printer_name, dialogue)
    return run_dialogue(
        open_session(settings, printer_name, name, dialogue, now), lambda session: ask_register(ask_turning(session))
    )


def run_dialogue(session: Session, steps: Callable[[Session], object], command: str = "") -> ExitCode:
    """Introduce the session, run steps that ask questions, and say how to go on when the person stops.

    Args:
        session: printer and sheet.
        steps: they ask.
        command: the sub-command of `print-folder align PRINTER` to go on with; empty for the whole conversation.

    Returns:
        WELL: all was answered. HELD: the person stopped before.
    """
    session.introduce()
    try:
        steps(session)
    except DialogueEnded:
        session.say("", f"Stopped here. Go on whenever you like with: {f'{session.command} {command}'.strip()}")
        return ExitCode.HELD
    return ExitCode.WELL


def _ask_sheet(settings: Settings, printer_name: str, dialogue: Dialogue) -> str:
    """Give the name of the printer's only sheet, or ask which."""
    sheets = list(sheets_of(settings, find_printer(settings, printer_name)))
    if len(sheets) == 1:
        return sheets[0]
    try:
        return dialogue.choose(f"Which sheet? [{', '.join(sheets)}]", {name: name for name in sheets})
    except DialogueEnded:
        raise WrongUsage(f"Say which sheet with --sheet NAME: {', '.join(sheets)}.") from None
