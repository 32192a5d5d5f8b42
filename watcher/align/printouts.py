"""Write the sheets to print without asking anything: turn test and register target, or the proof of a correction."""

from watcher.align.session import Session
from watcher.errors import WrongUsage


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


def _source_of_correction(session: Session) -> str:
    """Give the date of the measured correction, or the name of the file with the one written by hand."""
    measured = session.measured
    if measured is None or session.printer.align_for(session.sheet) is not None:
        return "settings.toml"
    return str(measured.made_at.date())
