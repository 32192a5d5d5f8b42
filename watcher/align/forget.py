"""Drop the measured correction of a printer and sheet; its history stays."""

from watcher.align.session import Session
from watcher.settings.alignment import save_alignment
from watcher.settings.alignment_file import Alignment
from watcher.terms import Flip


def forget_alignment(session: Session) -> None:
    """Drop the measured correction, and say so.

    Raises:
        SettingsRefused: alignment.toml is damaged; it is left as it is.
    """
    if session.measured is None:
        session.say(f"Nothing is kept for {session.name}.")
        return
    save_alignment(
        session.settings,
        Alignment(
            printer=session.printer.name,
            sheet=session.sheet.name,
            made_at=session.now,
            correction=None,
            size=session.sheet.size,
            flip=session.printer.flip or Flip.LONG_EDGE,
            duplex=session.printer.duplex,
        ),
    )
    session.say(f"Dropped: backs of {session.name} are printed without a correction from now on.")
