"""Measure the register from readings or scans that were given as options, and save the correction."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from watcher.align.register.label import Use
from watcher.align.register.options import RegisterOptions
from watcher.align.register.readings import parse_readings
from watcher.align.register.results import need_flip, save_fit, say_results
from watcher.align.register.scan_file import open_scan
from watcher.align.register.scans import ScannedSheet, marks_in_words, read_scans
from watcher.align.session import Session
from watcher.align.words import describe_proof, length
from watcher.errors import ExitCode, WrongUsage
from watcher.layout.register.corrected import furthest_apart
from watcher.layout.register.doubt import doubts
from watcher.layout.register.fit import RegisterFit, fit_register
from watcher.layout.register.readings import ReadBy, Reading
from watcher.settings.alignment import load_alignments

_PROOF_WELL_MM = 0.3  # at a corner; one sheet among others that wander (our own choice)


def measure_register(session: Session, options: RegisterOptions) -> ExitCode:
    """Measure by what was given, say what it comes to, and save the correction unless something speaks against it.

    Returns:
        WELL: it is saved, or the proof is right. HELD: it is doubtful, or the proof is off; what to do was said.

    Raises:
        WrongUsage: the options, readings or scans cannot be used, or no correction can be told from them.
        SettingsRefused: alignment.toml is damaged.
    """
    options.check()
    session.introduce()
    need_flip(session)
    if not options.keep_doubtful:
        _check_turn_test(session)
    return _by_scans(session, options) if options.scans else _by_readings(session, options)


def _check_turn_test(session: Session) -> None:
    """Refuse to measure a sheet that the last turn test saw turned otherwise: nothing then lies behind its mark."""
    test = load_alignments(session.settings).last_turn_test(session.printer.name)
    found = test.found.get("flip") if test else None
    if found is not None and found != session.printer.flip:
        raise WrongUsage(
            f"Nothing was measured: by the last turn test {session.printer.name} turns the sheet otherwise. Mend the "
            f"settings first, or do the turn test again: {session.command} turn"
        )


def _by_readings(session: Session, options: RegisterOptions) -> ExitCode:
    read = parse_readings(options.readings, session.target)
    fit = fit_register(read, session.sheet.size)
    if options.sheets_measured is not None:
        if len(read) not in (1, options.sheets_measured):
            said = options.sheets_measured
            raise WrongUsage(f"The readings are of {len(read)} sheets, but --sheets-measured says {said}.")
        fit = replace(fit, sheets=options.sheets_measured)
    return _save_or_doubt(session, read, fit, ReadBy.EYE, keep_doubtful=options.keep_doubtful)


def _by_scans(session: Session, options: RegisterOptions) -> ExitCode:
    """Measure by scans; of a proof only say what it shows."""
    files = options.scans
    sheets = [_read_sheet(session, front, back) for front, back in zip(files[::2], files[1::2], strict=True)]
    if len({sheet.use for sheet in sheets}) > 1:
        raise WrongUsage("Some of these sheets are targets and some are proofs. Give the ones without the others.")
    read = [sheet.readings for sheet in sheets]
    fit = fit_register(read, session.sheet.size, ReadBy.SCANS)
    if sheets[0].use is Use.PROOF:
        return _say_proof(session, fit)
    return _save_or_doubt(session, read, fit, ReadBy.SCANS, keep_doubtful=options.keep_doubtful)


def _read_sheet(session: Session, front: Path, back: Path) -> ScannedSheet:
    sheet = read_scans(
        open_scan(front),
        open_scan(back),
        session.target,
        known=session.all_targets,
        correction=session.correction,
    )
    said = f"{front.name}, {back.name}: {len(sheet.readings)} marks found"
    if sheet.missing:
        said += f", but not {marks_in_words(sheet.missing)}"
    if sheet.corners < 4:
        said += f"; only {sheet.corners} corners of the sheet are seen on both, so that its outline is not checked"
    session.say(f"{said}. It is a {sheet.use} of run {sheet.run}.")
    return sheet


def _save_or_doubt(
    session: Session, read: Sequence[Sequence[Reading]], fit: RegisterFit, read_by: ReadBy, *, keep_doubtful: bool
) -> ExitCode:
    """Save a correction that nothing speaks against; any other only when the person has said so."""
    doubted = doubts(read, fit, session.sheet.size, read_by)
    say_results(session, fit, doubted)
    if doubted and not keep_doubtful:
        session.say("Nothing was kept. When you have looked and it is right: give the same again with --keep-doubtful.")
        return ExitCode.HELD
    save_fit(session, fit, read_by)
    return ExitCode.WELL


def _say_proof(session: Session, fit: RegisterFit) -> ExitCode:
    """Say how far the backs are off with the correction; nothing is saved."""
    off_mm = furthest_apart(None, fit.correction, session.sheet.size)
    session.say(*describe_proof(fit, off_mm))
    measured = session.measured
    well_mm = max(_PROOF_WELL_MM, (measured.scatter_worst_mm or 0.0) if measured else 0.0)
    if off_mm <= well_mm:
        session.say(f"The correction is right: up to {length(well_mm)} is what sheets differ among themselves.")
        return ExitCode.WELL
    session.say(
        f"That is more than {length(well_mm)}, by which sheets differ among themselves. Measure again: print the "
        f"target ({session.command} print), not the proof, 3 to 5 times, and give its scans or readings."
    )
    return ExitCode.HELD
