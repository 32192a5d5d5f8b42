"""Ask for the readings of the register target, fit the correction and save it."""

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

from watcher.align.dialogue import YES_NO, DialogueEnded
from watcher.align.register.readings import MOST_SHEETS, PAIR_WANTED, parse_pair, parse_readings
from watcher.align.register.results import need_flip, save_fit, say_results
from watcher.align.session import Session
from watcher.errors import WrongUsage
from watcher.layout.register.doubt import Doubt, DoubtKind, doubts
from watcher.layout.register.fit import RegisterFit, fit_register
from watcher.layout.register.readings import ReadBy, Reading, ReadingsRefused

_MARK_WANTED = "mark: right up (2/4: +0.1 -0.3 for sheet 2)"
_LET_IT_BE = "Enter to leave it as it is"


def ask_register(session: Session) -> None:
    """Ask for the readings of a few sheets, and save the correction.

    Raises:
        DialogueEnded: the person stopped.
    """
    need_flip(session)
    _tell_how_to_print(session, session.write_target())
    sheets = _ask_how_many(session)
    if not sheets:
        return
    read = [_ask_sheet(session, number, sheets) for number in range(1, sheets + 1)]
    fit, doubted = _fit_or_ask_again(session, read)
    say_results(session, fit, doubted)
    question, enter = ("Keep it all the same? [y/N]", False) if doubted else ("Keep it? [Y/n]", True)
    if not session.dialogue.choose(question, {"": enter, **YES_NO}):
        raise DialogueEnded
    save_fit(session, fit, ReadBy.EYE)
    _offer_proof(session, fit)


def _tell_how_to_print(session: Session, files: Sequence[Path]) -> None:
    say = session.say
    say("")
    say(f"NOW the register. Print this 3 to 5 times, {session.how_to_print()}:")
    for file in files:
        say(f"  {file}")
    say("It is printed without any correction, also when one is kept: what you read replaces it.")
    say("Each sheet says how to read it: where the front's cross falls on the back's scale.")
    say(f"(With a flatbed scanner you need read nothing: {session.command} register --scans FRONT BACK)")


def _ask_how_many(session: Session) -> int:
    while True:
        answer = session.dialogue.ask("How many sheets have you printed? [a number, Enter: 1, s: leave this out]")
        if answer.casefold() == "s":
            return 0
        if not answer:
            return 1
        if answer.isdecimal() and 1 <= int(answer) <= MOST_SHEETS:
            return int(answer)
        session.say(f"Please type a number from 1 to {MOST_SHEETS}.")


def _ask_sheet(session: Session, number: int, of: int) -> list[Reading]:
    if number == 1:
        session.say(f"Type {PAIR_WANTED}; Enter alone leaves a mark out.")
    read = []
    for mark in session.target.marks:
        where = f"Sheet {number}, mark {mark.number}" if of > 1 else f"Mark {mark.number}"
        pair = _ask_pair(session, where)
        if pair is not None:
            read.append(Reading(mark=mark.number, place=mark.back, right=pair[0], up=pair[1]))
    return read


def _ask_pair(session: Session, where: str) -> tuple[Fraction, Fraction] | None:
    while True:
        answer = session.dialogue.ask(where)
        if not answer:
            return None
        try:
            return parse_pair(answer)
        except WrongUsage as error:
            session.say(str(error))


def _fit_or_ask_again(session: Session, read: list[list[Reading]]) -> tuple[RegisterFit, tuple[Doubt, ...]]:
    """Fit the readings; a mark that does not fit or is missing may be read again until all is well."""
    while True:
        try:
            fit = fit_register(read, session.sheet.size)
        except ReadingsRefused as error:
            session.say(f"{error}")
            answer = session.dialogue.ask(f"Type it again as {_MARK_WANTED}, or Enter to stop")
            if not answer:
                raise DialogueEnded from error
            read = _replace_reading(session, read, answer)
            continue
        doubted = doubts(read, fit, session.sheet.size, ReadBy.EYE)
        readable = [doubt for doubt in doubted if doubt.kind in (DoubtKind.MARK, DoubtKind.FEW)]
        for doubt in readable:
            session.say(doubt.words)
        answer = session.dialogue.ask(f"Type a mark as {_MARK_WANTED}, or {_LET_IT_BE}") if readable else ""
        if not answer:
            return fit, doubted
        read = _replace_reading(session, read, answer)


def _replace_reading(session: Session, read: list[list[Reading]], answer: str) -> list[list[Reading]]:
    """Give the readings with one of them replaced, as it was typed; unchanged when it cannot be read."""
    sheet = int(answer.partition("/")[0]) if "/" in answer and answer.partition("/")[0].strip().isdecimal() else 1
    try:
        new = parse_readings([answer.partition("/")[2] if "/" in answer else answer], session.target)[0][0]
    except WrongUsage as error:
        session.say(str(error))
        return read
    return [
        [*(one for one in readings if one.mark != new.mark), new] if number == sheet else readings
        for number, readings in enumerate(read, start=1)
    ]


def _offer_proof(session: Session, fit: RegisterFit) -> None:
    files = session.write_proof(fit.correction, str(session.now.date()))
    session.say("To see that it is right, print this once: every cross must fall on the middle of its scale.")
    for file in files:
        session.say(f"  {file}")
