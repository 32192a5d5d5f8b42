"""Say what a measurement comes to, and save the correction."""

from collections.abc import Sequence

from watcher.align.session import Session
from watcher.align.words import describe_drift, describe_fit
from watcher.errors import WrongUsage
from watcher.layout.register.alignment import Correction
from watcher.layout.register.corrected import furthest_apart
from watcher.layout.register.doubt import Doubt
from watcher.layout.register.fit import RegisterFit
from watcher.layout.register.readings import ReadBy
from watcher.settings.alignment import misfit, save_alignment
from watcher.settings.alignment_file import Alignment
from watcher.settings.faults import show_heading
from watcher.terms import Flip


def need_flip(session: Session) -> Flip:
    """Give the edge that the printer turns the sheet on; without it nobody can say what lies behind what.

    Raises:
        WrongUsage: the settings do not say it.
    """
    if session.printer.flip is None:
        raise WrongUsage(
            f"settings.toml does not say how {session.printer.name} turns a sheet. Do the turn test, and write the "
            "flip there."
        )
    return session.printer.flip


def say_results(session: Session, fit: RegisterFit, doubted: Sequence[Doubt]) -> None:
    """Say what was measured, what is doubtful about it, and what changed since the last measurement."""
    session.say("", *describe_fit(fit), *(doubt.words for doubt in doubted))
    session.say(*describe_change(session, session.history, fit.correction))


def describe_change(session: Session, history: Sequence[Alignment], correction: Correction) -> list[str]:
    """Say how far the backs have moved since the last correction that was measured with the same size and turning.

    Args:
        session: printer and sheet.
        history: earlier corrections, oldest first.
        correction: the new one.

    Returns:
        One line, or none when there is no such correction.
    """
    alike = [one for one in history if one.correction and misfit(one, session.printer, session.sheet) is None]
    if not alike:
        return []
    by_mm = furthest_apart(alike[-1].correction, correction, session.sheet.size)
    return [describe_drift(by_mm, alike[-1].made_at)]


def save_fit(session: Session, fit: RegisterFit, read_by: ReadBy) -> None:
    """Save a correction to alignment.toml, and say so; also when settings.toml has one that takes precedence."""
    save_alignment(
        session.settings,
        Alignment(
            printer=session.printer.name,
            sheet=session.sheet.name,
            made_at=session.now,
            correction=fit.correction,
            terms=fit.terms,
            marks=len(fit.residuals),
            sheets=fit.sheets,
            read_by=str(read_by),
            residual_mm=round(fit.worst.distance, 4),
            residual_mark=fit.worst.mark,
            scatter_mm=round(fit.scatter.typical, 4) if fit.scatter else None,
            scatter_worst_mm=round(fit.scatter.worst, 4) if fit.scatter else None,
            size=session.sheet.size,
            flip=need_flip(session),
            duplex=session.printer.duplex,
        ),
    )
    session.say(f"Kept in {session.settings.folder / 'alignment.toml'}; it holds for every order from now on.")
    if session.printer.align_for(session.sheet) is not None:
        heading = show_heading(("printers", session.printer.name, "align", session.sheet.name))
        session.say(f"But {heading} in settings.toml wins over it. Take that out to use what was measured now.")
