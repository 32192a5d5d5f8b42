"""Show the measured correction and the turn test of a printer and its sheets."""

from datetime import datetime

from watcher.align.dialogue import Dialogue
from watcher.align.register.results import describe_change
from watcher.align.session import Session, open_session, sheets_of
from watcher.align.turn.conversation import agrees
from watcher.align.words import describe_alignment
from watcher.settings.alignment import check_alignments, find_printer, load_alignments
from watcher.settings.model import Settings


def show_alignments(
    settings: Settings, printer_name: str, sheet_name: str | None, dialogue: Dialogue, now: datetime
) -> None:
    """Say what was measured for a sheet of a printer, or for all of its sheets.

    Raises:
        WrongUsage: there is no such printer or sheet.
        SettingsRefused: alignment.toml is damaged or does not fit the settings.
    """
    check_alignments(settings)
    names = [sheet_name] if sheet_name else list(sheets_of(settings, find_printer(settings, printer_name)))
    for number, name in enumerate(names):
        if number:
            dialogue.say("")
        _show(open_session(settings, printer_name, name, dialogue, now))


def _show(session: Session) -> None:
    session.introduce()
    if session.printer.align_for(session.sheet) is not None:
        session.say("settings.toml has a correction of its own for this sheet, and that is the one used.")
    history = session.history
    if not history:
        session.say("No correction has been measured yet.")
    else:
        session.say(*describe_alignment(history[-1], session.now))
        if history[-1].correction:
            session.say(*describe_change(session, history[:-1], history[-1].correction))
    _show_turn_test(session)


def _show_turn_test(session: Session) -> None:
    test = load_alignments(session.settings).last_turn_test(session.printer.name)
    if test is None:
        session.say("No turn test has been done yet.")
        return
    right = "settings.toml agrees" if agrees(session, test) else "settings.toml differs from it; do it again"
    found = ", ".join(f"{key} {value}" for key, value in test.found.items())
    session.say(f"Turn test of {test.made_at.date()}: {found}; {right}.")
