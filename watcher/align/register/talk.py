"""The part of the conversation that measures how far the backs are off, and keeps the correction."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from watcher.align.bench import Bench
from watcher.align.register.label import Use
from watcher.align.register.readings import MOST_SHEETS, PAIR_WANTED, parse_pair, parse_readings
from watcher.align.register.scan_file import open_scan
from watcher.align.register.scans import ScannedSheet, marks_in_words, read_scans
from watcher.align.talk import StoppedTalking
from watcher.align.words import length, what_a_proof_shows, what_drifted, what_was_found
from watcher.errors import ExitCode, WrongUsage
from watcher.layout.register.alignment import Correction
from watcher.layout.register.corrected import furthest_apart
from watcher.layout.register.doubt import Doubt, DoubtKind, doubts
from watcher.layout.register.fit import ReadBy, Reading, ReadingsRefused, RegisterFit, fit_register
from watcher.settings.alignment import keep, load_kept, misfit
from watcher.settings.alignment_file import Alignment
from watcher.settings.faults import show_heading
from watcher.terms import Flip

_YES_NO = {"y": True, "yes": True, "n": False, "no": False}
_MARK_WANTED = "mark: right up (2/4: +0.1 -0.3 for sheet 2)"
_LET_IT_BE = "Enter to leave it as it is"
_PROOF_WELL_MM = 0.3  # at a corner; one sheet among others that wander (our own choice)


def ask_register(bench: Bench) -> None:
    """Ask for the readings of a few sheets, and keep the correction.

    Raises:
        StoppedTalking: the person stopped.
    """
    _need_flip(bench)
    _tell_how_to_print(bench, bench.write_target())
    sheets = _ask_how_many(bench)
    if not sheets:
        return
    read = [_ask_sheet(bench, number, sheets) for number in range(1, sheets + 1)]
    fit, doubted = _fit_or_ask_again(bench, read)
    _tell(bench, fit, doubted)
    question, enter = ("Keep it all the same? [y/N]", False) if doubted else ("Keep it? [Y/n]", True)
    if not bench.talk.choose(question, {"": enter, **_YES_NO}):
        raise StoppedTalking
    _keep(bench, fit, ReadBy.EYE)
    _offer_proof(bench, fit)


def take_readings(bench: Bench, texts: Sequence[str], sheets_measured: int | None, *, keep_doubtful: bool) -> ExitCode:
    """Fit readings that were given as options, and keep the correction; a doubtful one only where that was said.

    Returns:
        WELL: it is kept. HELD: it was doubted; what to do is said.

    Raises:
        WrongUsage: they cannot be read, or no correction can be told from them.
    """
    _need_flip(bench)
    read = parse_readings(texts, bench.target)
    fit = fit_register(read, bench.sheet.size)
    if sheets_measured is not None:
        if len(read) > 1 and len(read) != sheets_measured:
            raise WrongUsage(f"The readings are of {len(read)} sheets, but --sheets-measured says {sheets_measured}.")
        fit = replace(fit, sheets=sheets_measured)
    return _keep_or_doubt(bench, read, fit, ReadBy.EYE, keep_doubtful=keep_doubtful)


def take_scans(bench: Bench, files: Sequence[Path], *, keep_doubtful: bool) -> ExitCode:
    """Find the marks on scans (front, back of each sheet), and keep the correction; of a proof only say what it shows.

    Returns:
        WELL: it is kept, or the proof is right. HELD: it was doubted, or the proof is off; what to do is said.

    Raises:
        WrongUsage: a scan cannot be used, or no correction can be told from them.
    """
    _need_flip(bench)
    sheets = [_scan_sheet(bench, front, back) for front, back in zip(files[::2], files[1::2], strict=True)]
    if len({sheet.use for sheet in sheets}) > 1:
        raise WrongUsage("Some of these sheets are targets and some are proofs. Give the ones without the others.")
    read = [sheet.readings for sheet in sheets]
    fit = fit_register(read, bench.sheet.size, ReadBy.SCANS)
    if sheets[0].use is Use.PROOF:
        return _tell_of_proof(bench, fit)
    return _keep_or_doubt(bench, read, fit, ReadBy.SCANS, keep_doubtful=keep_doubtful)


def _scan_sheet(bench: Bench, front: Path, back: Path) -> ScannedSheet:
    sheet = read_scans(
        open_scan(front),
        open_scan(back),
        bench.target,
        known=bench.all_targets,
        correction=bench.kept_correction,
    )
    said = f"{front.name}, {back.name}: {len(sheet.readings)} marks found"
    if sheet.missing:
        said += f", but not {marks_in_words(sheet.missing)}"
    if sheet.corners < 4:
        said += f"; only {sheet.corners} corners of the sheet are seen on both, so that its outline is not checked"
    bench.talk.say(f"{said}. It is a {sheet.use} of run {sheet.run}.")
    return sheet


def _keep_or_doubt(
    bench: Bench, read: Sequence[Sequence[Reading]], fit: RegisterFit, read_by: ReadBy, *, keep_doubtful: bool
) -> ExitCode:
    """Keep a correction that nothing speaks against; any other only when the person has said so."""
    doubted = doubts(read, fit, bench.sheet.size, read_by)
    _tell(bench, fit, doubted)
    if doubted and not keep_doubtful:
        bench.talk.say(
            "Nothing was kept. When you have looked and it is right: give the same again with --keep-doubtful."
        )
        return ExitCode.HELD
    _keep(bench, fit, read_by)
    return ExitCode.WELL


def _tell_of_proof(bench: Bench, fit: RegisterFit) -> ExitCode:
    """Say how far the backs are off with the correction; nothing is kept."""
    off_mm = furthest_apart(None, fit.correction, bench.sheet.size)
    for line in what_a_proof_shows(fit, off_mm):
        bench.talk.say(line)
    kept = load_kept(bench.settings).in_force(bench.printer.name, bench.sheet.name)
    well_mm = max(_PROOF_WELL_MM, (kept.scatter_worst_mm or 0.0) if kept else 0.0)
    if off_mm <= well_mm:
        bench.talk.say(f"The correction is right: up to {length(well_mm)} is what sheets differ among themselves.")
        return ExitCode.WELL
    bench.talk.say(
        f"That is more than {length(well_mm)}, by which sheets differ among themselves. Measure again: print the "
        f"target ({bench.command} --print-only), not the proof, 3 to 5 times, and give its scans or readings."
    )
    return ExitCode.HELD


def _need_flip(bench: Bench) -> Flip:
    """How the sheet is turned; without it nobody can say what lies behind what."""
    if bench.printer.flip is None:
        raise WrongUsage(
            f"settings.toml does not say how {bench.printer.name} turns a sheet. Do the turn test, and write the flip "
            "there."
        )
    return bench.printer.flip


def _tell_how_to_print(bench: Bench, files: Sequence[Path]) -> None:
    say = bench.talk.say
    say("")
    say(f"NOW the register. Print this 3 to 5 times, {bench.how_to_print()}:")
    for file in files:
        say(f"  {file}")
    say("It is printed without any correction, also when one is kept: what you read replaces it.")
    say("Each sheet says how to read it: where the front's cross falls on the back's scale.")
    say(f"(With a flatbed scanner you need read nothing: {bench.command} --scans FRONT BACK)")


def _ask_how_many(bench: Bench) -> int:
    while True:
        answer = bench.talk.ask("How many sheets have you printed? [a number, Enter: 1, s: leave this out]")
        if answer.casefold() == "s":
            return 0
        if not answer:
            return 1
        if answer.isdecimal() and 1 <= int(answer) <= MOST_SHEETS:
            return int(answer)
        bench.talk.say(f"Please type a number from 1 to {MOST_SHEETS}.")


def _ask_sheet(bench: Bench, number: int, of: int) -> list[Reading]:
    if number == 1:
        bench.talk.say(f"Type {PAIR_WANTED}; Enter alone leaves a mark out.")
    read = []
    for mark in bench.target.marks:
        where = f"Sheet {number}, mark {mark.number}" if of > 1 else f"Mark {mark.number}"
        pair = _ask_pair(bench, where)
        if pair is not None:
            read.append(Reading(mark=mark.number, place=mark.back, right=pair[0], up=pair[1]))
    return read


def _ask_pair(bench: Bench, where: str) -> tuple[Fraction, Fraction] | None:
    while True:
        answer = bench.talk.ask(where)
        if not answer:
            return None
        try:
            return parse_pair(answer)
        except WrongUsage as error:
            bench.talk.say(str(error))


def _fit_or_ask_again(bench: Bench, read: list[list[Reading]]) -> tuple[RegisterFit, tuple[Doubt, ...]]:
    """The fit and what is doubtful about it; a mark that does not fit or is missing may be read until all is well."""
    while True:
        try:
            fit = fit_register(read, bench.sheet.size)
        except ReadingsRefused as error:
            bench.talk.say(f"{error}")
            answer = bench.talk.ask(f"Type it again as {_MARK_WANTED}, or Enter to stop")
            if not answer:
                raise StoppedTalking from error
            read = _mended(bench, read, answer)
            continue
        doubted = doubts(read, fit, bench.sheet.size, ReadBy.EYE)
        readable = [doubt for doubt in doubted if doubt.kind in (DoubtKind.MARK, DoubtKind.FEW)]
        for doubt in readable:
            bench.talk.say(doubt.words)
        answer = bench.talk.ask(f"Type a mark as {_MARK_WANTED}, or {_LET_IT_BE}") if readable else ""
        if not answer:
            return fit, doubted
        read = _mended(bench, read, answer)


def _mended(bench: Bench, read: list[list[Reading]], answer: str) -> list[list[Reading]]:
    """The readings with one of them replaced."""
    sheet = int(answer.partition("/")[0]) if "/" in answer and answer.partition("/")[0].strip().isdecimal() else 1
    try:
        new = parse_readings([answer.partition("/")[2] if "/" in answer else answer], bench.target)[0][0]
    except WrongUsage as error:
        bench.talk.say(str(error))
        return read
    return [
        [*(one for one in readings if one.mark != new.mark), new] if number == sheet else readings
        for number, readings in enumerate(read, start=1)
    ]


def _tell(bench: Bench, fit: RegisterFit, doubted: Sequence[Doubt]) -> None:
    bench.talk.say("")
    for line in what_was_found(fit):
        bench.talk.say(line)
    for doubt in doubted:
        bench.talk.say(doubt.words)
    for line in drift(bench, load_kept(bench.settings).history(bench.printer.name, bench.sheet.name), fit.correction):
        bench.talk.say(line)


def drift(bench: Bench, history: Sequence[Alignment], correction: Correction) -> list[str]:
    """How far the backs have moved since the last that was measured alike, if there is any."""
    alike = [one for one in history if one.correction and misfit(one, bench.printer, bench.sheet) is None]
    if not alike:
        return []
    return [what_drifted(furthest_apart(alike[-1].correction, correction, bench.sheet.size), alike[-1].made_at)]


def _keep(bench: Bench, fit: RegisterFit, read_by: ReadBy) -> None:
    keep(
        bench.settings,
        Alignment(
            printer=bench.printer.name,
            sheet=bench.sheet.name,
            made_at=bench.now,
            correction=fit.correction,
            terms=fit.terms,
            marks=len(fit.residuals),
            sheets=fit.sheets,
            read_by=str(read_by),
            residual_mm=round(fit.worst.distance, 4),
            residual_mark=fit.worst.mark,
            scatter_mm=round(fit.scatter.typical, 4) if fit.scatter else None,
            scatter_worst_mm=round(fit.scatter.worst, 4) if fit.scatter else None,
            size=bench.sheet.size,
            flip=_need_flip(bench),
            duplex=bench.printer.duplex,
        ),
    )
    bench.talk.say(f"Kept in {bench.settings.folder / 'alignment.toml'}; it holds for every order from now on.")
    if bench.printer.align_for(bench.sheet) is not None:
        heading = show_heading(("printers", bench.printer.name, "align", bench.sheet.name))
        bench.talk.say(f"But {heading} in settings.toml wins over it. Take that out to use what was measured now.")


def _offer_proof(bench: Bench, fit: RegisterFit) -> None:
    files = bench.write_proof(fit.correction, str(bench.now.date()))
    bench.talk.say("To see that it is right, print this once: every cross must fall on the middle of its scale.")
    for file in files:
        bench.talk.say(f"  {file}")
