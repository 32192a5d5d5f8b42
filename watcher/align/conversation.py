"""`print-folder align`: from what was asked to what is done; the turn test first, then the register."""

from datetime import datetime

from watcher.align.bench import Bench, set_up, sheets_of
from watcher.align.register.talk import ask_register, drift, take_readings, take_scans
from watcher.align.request import AlignRequest
from watcher.align.talk import StoppedTalking, Talk
from watcher.align.turn.talk import agrees, ask_turning, settle
from watcher.align.turn.test_answers import find_turning
from watcher.align.words import what_is_kept
from watcher.errors import ExitCode, WrongUsage
from watcher.settings.alignment import check_kept, find_printer, keep, load_kept
from watcher.settings.alignment_file import Alignment
from watcher.settings.model import Settings
from watcher.terms import Flip


def align(settings: Settings, request: AlignRequest, talk: Talk, now: datetime) -> ExitCode:
    """Do what is asked.

    Returns:
        WELL: all is known and kept. HELD: something is left for the person to do, as was said.

    Raises:
        WrongUsage: there is no such printer or sheet, or answers, readings or scans cannot be used.
        SettingsRefused: alignment.toml is damaged.
    """
    request.check()
    load_kept(settings)
    if request.show:
        return _show(settings, request, talk, now)
    bench = set_up(settings, request.printer, _sheet_name(settings, request, talk), talk, now)
    if request.forget:
        return _forget(bench)
    if request.proof:
        return _proof(bench)
    if request.print_only:
        return _print_only(bench)
    return _converse(bench) if request.is_conversation else _take_answers(bench, request)


def _sheet_name(settings: Settings, request: AlignRequest, talk: Talk) -> str | None:
    """The sheet that was named; in a conversation it is asked for where several could be meant."""
    if request.sheet is not None or not request.is_conversation:
        return request.sheet
    sheets = list(sheets_of(settings, find_printer(settings, request.printer)))
    if len(sheets) == 1:
        return sheets[0]
    try:
        return talk.choose(f"Which sheet? [{', '.join(sheets)}]", {name: name for name in sheets})
    except StoppedTalking:
        raise WrongUsage(f"Say which sheet with --sheet NAME: {', '.join(sheets)}.") from None


def _converse(bench: Bench) -> ExitCode:
    bench.introduce()
    try:
        ask_register(ask_turning(bench))
    except StoppedTalking:
        bench.talk.say("")
        bench.talk.say(f"Stopped here. Go on whenever you like with: {bench.command}")
        return ExitCode.HELD
    return ExitCode.WELL


def _take_answers(bench: Bench, request: AlignRequest) -> ExitCode:
    bench.introduce()
    to_write = False
    if request.turn.are_given:
        answers = request.turn.answers(bench.printer.duplex)
        advice = settle(bench, find_turning(answers, bench.sheet.size, bench.printer.duplex))
        to_write = bool(advice.write)
        if "flip" in advice.write and (request.readings or request.scans):
            raise WrongUsage("The readings were not taken: the sheet is turned otherwise. Mend the settings first.")
    code = ExitCode.WELL
    if request.readings:
        code = take_readings(bench, request.readings, request.sheets_measured, keep_doubtful=request.keep_doubtful)
    if request.scans:
        code = take_scans(bench, request.scans, keep_doubtful=request.keep_doubtful)
    return ExitCode.HELD if to_write else code


def _print_only(bench: Bench) -> ExitCode:
    bench.introduce()
    bench.talk.say(f"Print {bench.how_to_print()}:")
    for file in (*bench.write_turn_test(), *bench.write_target()):
        bench.talk.say(f"  {file}")
    return ExitCode.WELL


def _proof(bench: Bench) -> ExitCode:
    correction = bench.kept_correction
    if correction is None:
        raise WrongUsage(f"There is no correction for {bench.printer.name} on {bench.sheet.name} yet.")
    kept = load_kept(bench.settings).in_force(bench.printer.name, bench.sheet.name)
    by_hand = bench.printer.align_for(bench.sheet) is not None or kept is None
    files = bench.write_proof(correction, "settings.toml" if by_hand or kept is None else str(kept.made_at.date()))
    bench.talk.say(f"Print {bench.how_to_print()}; every cross must fall on the middle of its scale:")
    for file in files:
        bench.talk.say(f"  {file}")
    return ExitCode.WELL


def _forget(bench: Bench) -> ExitCode:
    name = f"{bench.printer.name} on {bench.sheet.name}"
    if load_kept(bench.settings).in_force(bench.printer.name, bench.sheet.name) is None:
        bench.talk.say(f"Nothing is kept for {name}.")
        return ExitCode.WELL
    keep(
        bench.settings,
        Alignment(
            printer=bench.printer.name,
            sheet=bench.sheet.name,
            made_at=bench.now,
            correction=None,
            size=bench.sheet.size,
            flip=bench.printer.flip or Flip.LONG_EDGE,
            duplex=bench.printer.duplex,
        ),
    )
    bench.talk.say(f"Dropped: backs of {name} are printed without a correction from now on.")
    return ExitCode.WELL


def _show(settings: Settings, request: AlignRequest, talk: Talk, now: datetime) -> ExitCode:
    check_kept(settings)
    printer = find_printer(settings, request.printer)
    names = [request.sheet] if request.sheet else list(sheets_of(settings, printer))
    for number, name in enumerate(names):
        if number:
            talk.say("")
        _show_one(set_up(settings, printer.name, name, talk, now))
    return ExitCode.WELL


def _show_one(bench: Bench) -> None:
    bench.introduce()
    kept = load_kept(bench.settings)
    history = kept.history(bench.printer.name, bench.sheet.name)
    if bench.printer.align_for(bench.sheet) is not None:
        bench.talk.say("settings.toml has a correction of its own for this sheet, and that is the one used.")
    for line in what_is_kept(history[-1], bench.now) if history else ["No correction has been measured yet."]:
        bench.talk.say(line)
    if history and history[-1].correction:
        for line in drift(bench, history[:-1], history[-1].correction):
            bench.talk.say(line)
    test = kept.last_turn_test(bench.printer.name)
    if test is None:
        bench.talk.say("No turn test has been done yet.")
    else:
        right = "settings.toml agrees" if agrees(bench, test) else "settings.toml differs from it; do it again"
        found = ", ".join(f"{key} {value}" for key, value in test.found.items())
        bench.talk.say(f"Turn test of {test.made_at.date()}: {found}; {right}.")
