"""Write the sheets to print without asking anything: turn test and target, the proof of a correction, colour strips."""

from datetime import datetime

from watcher.align.dialogue import Dialogue
from watcher.align.session import Session, open_session, sheets_of
from watcher.errors import WrongUsage
from watcher.settings.alignment import find_printer
from watcher.settings.model import Settings


def print_test_sheets(session: Session) -> None:
    """Write the turn test and the register target, and say where they are and how to print them."""
    session.introduce()
    session.say(f"Print {session.how_to_print()}:")
    session.say_files([*session.write_turn_test(), *session.write_target()])


def print_proof(session: Session) -> None:
    """Write the register target with the correction that applies, and say how to print it.

    Raises:
        WrongUsage: there is no correction.
        SettingsRefused: alignment.toml is damaged or does not fit the settings.
    """
    correction = session.correction
    if correction is None:
        raise WrongUsage(f"There is no correction for {session.name} yet.")
    files = session.write_proof(correction, _source_of_correction(session))
    session.say(f"Print {session.how_to_print()}; every cross must fall on the middle of its scale:")
    session.say_files(files)


def print_colour_strips(
    settings: Settings, printer_name: str, sheet_name: str | None, dialogue: Dialogue, now: datetime
) -> None:
    """Write the colour strip of a sheet, or of all sheets of the printer, and say what it is for.

    Raises:
        WrongUsage: there is no such printer or sheet.
    """
    names = [sheet_name] if sheet_name else list(sheets_of(settings, find_printer(settings, printer_name)))
    sessions = [open_session(settings, printer_name, name, dialogue, now) for name in names]
    dialogue.say(
        "Print one side at actual size (100 %), on the paper itself and with the settings that your cards get:"
    )
    for session in sessions:
        session.say_files(session.write_colours())
    dialogue.say("Keep it beside the printer, out of the light. Whenever the paper, the toner or the ink is a new one,")
    dialogue.say("print it again and lay the two side by side: what differs there will differ on the cards.")
    dialogue.say("It is a sheet to compare with. It makes no colour profile and promises no colour.")


def _source_of_correction(session: Session) -> str:
    """Give the date of the measured correction, or the name of the file with the one written by hand."""
    measured = session.measured
    if measured is None or session.printer.align_for(session.sheet) is not None:
        return "settings.toml"
    return str(measured.made_at.date())
