"""The part of the conversation that settles how the printer turns a sheet."""

from dataclasses import replace
from pathlib import Path

from watcher.align.bench import Bench
from watcher.align.talk import StoppedTalking
from watcher.align.turn.advice import Advice, advise, as_lines
from watcher.align.turn.test_answers import Answers, AnswersDoNotFit, Face, FirstPrinted, Letter, Turning, find_turning
from watcher.errors import SettingsRefused
from watcher.settings.alignment import find_printer, find_sheet, keep, load_kept
from watcher.settings.alignment_file import TurnTest
from watcher.settings.load import load_settings
from watcher.terms import Flip

_LETTERS = {str(letter): letter for letter in Letter}
_LETTERS_OR_NOT: dict[str, Letter | None] = {**_LETTERS, "": None}


def ask_turning(bench: Bench) -> Bench:
    """Ask through the turn test until the settings agree with it; gives the bench with the settings as they are then.

    Raises:
        StoppedTalking: the person stopped.
    """
    if not _is_wanted(bench):
        return bench
    _tell_how_to_print(bench, bench.write_turn_test())
    if bench.talk.ask("Press Enter when it is printed, or type s to leave the turn test out").casefold() == "s":
        return bench
    while True:
        try:
            turning = find_turning(_ask(bench), bench.sheet.size, bench.printer.duplex)
            break
        except AnswersDoNotFit as error:
            bench.talk.say(f"{error}")
            again = bench.talk.choose("Answer again? [y/n]", {"y": True, "yes": True, "n": False, "no": False})
            if not again:
                raise StoppedTalking from error
    advice = settle(bench, turning)
    return _wait_for_settings(bench, turning, advice)


def settle(bench: Bench, turning: Turning) -> Advice:
    """Keep what was found, and say what it means for settings.toml."""
    advice = advise(turning, bench.printer)
    keep(bench.settings, TurnTest(printer=bench.printer.name, made_at=bench.now, found=advice.wanted))
    _tell(bench, advice)
    return advice


def _is_wanted(bench: Bench) -> bool:
    """Whether to do it at all: it was done before, and the settings still agree."""
    last = load_kept(bench.settings).last_turn_test(bench.printer.name)
    if last is None or not agrees(bench, last):
        return True
    if bench.turns_by_hand and bench.printer.backs_order is None:
        bench.talk.say("Not known yet: in which order a stack comes when it goes back in. The turn test tells it.")
        return True
    question = f"The turn test was done on {last.made_at.date()}, and settings.toml agrees. Do it again? [y/N]"
    return bench.talk.choose(question, {"y": True, "yes": True, "n": False, "no": False, "": False})


def agrees(bench: Bench, test: TurnTest) -> bool:
    """Whether the settings still say what a turn test found."""
    has = {key: getattr(bench.printer, key) for key in test.found}
    return all(str(value or "").casefold() == test.found[key].casefold() for key, value in has.items())


def _tell_how_to_print(bench: Bench, files: list[Path]) -> None:
    say = bench.talk.say
    sheets = "TWO blank sheets" if bench.turns_by_hand else "ONE blank sheet"
    say("")
    say(f"FIRST, how the {'stack' if bench.turns_by_hand else 'sheet'} is turned. Take {sheets} and a pencil:")
    say("  write a 1 at the edge that goes into the printer first,")
    say("  and a 2 at the edge along the paper guide (where both guides move, the left one).")
    if bench.turns_by_hand:
        say(f"Put them in together and print {bench.how_to_print()}:")
        say(f"  {files[0]}")
        say("Put both printed sheets back in together, one upon the other just as they came out, and as you are used")
        say("to. Note two things before they go in:")
        say("  do the letters face up or down, and which letter's edge goes in first? Then print:")
        say(f"  {files[1]}")
        return
    say(f"Put it in and print {bench.how_to_print()}:")
    say(f"  {files[0]}")
    say("Watch the sheet: many printers push it out half-way before they print its second side.")


def _ask(bench: Bench) -> Answers:
    talk = bench.talk
    which = "the FIRST SHEET" if bench.turns_by_hand else "the sheet"
    question = f"Hold {which} with the letters facing you, against the light. Which letter lies behind the arrow?"
    choices: dict[str, Letter | None] = {**_LETTERS, "S": None}
    behind = talk.choose(f"{question} [A B C D, or S: arrow and letters are on the same face]", choices)
    answers = Answers(
        arrow=behind or _ask_where_it_points(bench),
        one_face=behind is None,
        lead=talk.choose("Which letter is at the edge with the 1? [A B C D, Enter: no 1 there]", _LETTERS_OR_NOT),
        guide=talk.choose("Which letter is at the edge with the 2? [A B C D, Enter: no 2 there]", _LETTERS_OR_NOT),
    )
    if bench.turns_by_hand:
        return _ask_stack(bench, answers)
    return _ask_chosen(bench, _ask_first_side(bench, answers))


def _ask_where_it_points(bench: Bench) -> Letter:
    """With arrow and letters on one face; where the printer turns the sheet it does not matter, all else is refused."""
    if not bench.turns_by_hand:
        return Letter.A
    return bench.talk.choose("Which letter does the arrow point to? [A B C D]", _LETTERS)


def _ask_stack(bench: Bench, answers: Answers) -> Answers:
    faces: dict[str, Face] = {"up": Face.UP, "down": Face.DOWN}
    face = bench.talk.choose("When the sheets went back in, did the letters face up or down? [up/down]", faces)
    lead = bench.talk.choose("And which letter's edge went in first then? [A B C D]", _LETTERS)
    own: dict[str, bool | None] = {
        **dict.fromkeys(("first", "f", "1"), True),
        **dict.fromkeys(("second", "s", "2"), False),
        "": None,
    }
    question = (
        "Take the sheet whose letters say FIRST SHEET. Which sheet does its arrow say? [first, second, Enter: there "
        "was only one sheet]"
    )
    return replace(answers, stack_face=face, stack_lead=lead, own_back=bench.talk.choose(question, own))


def _ask_chosen(bench: Bench, answers: Answers) -> Answers:
    """The edge that was chosen in the print dialog, where the sheet did not turn on the one that was asked for."""
    told = bench.printer.chosen_flip
    turned = find_turning(answers, bench.sheet.size, bench.printer.duplex).flip
    if told is not None and turned is bench.printer.flip:
        return answers
    edges: dict[str, Flip | None] = {
        **{word: flip for flip in Flip for word in (flip.length, flip.length[0], str(flip))},
        "": told,
    }
    otherwise = f"the {told.words}, as asked" if told else "I do not know"
    turned_on = f"The sheet turned on its {turned.words}. " if turned else ""
    question = f"{turned_on}Which edge did you choose in the print dialog? [long, short, Enter: {otherwise}]"
    return replace(answers, chosen=bench.talk.choose(question, edges))


def _ask_first_side(bench: Bench, answers: Answers) -> Answers:
    if answers.one_face or answers.lead is None:
        return answers
    seen = {
        "l": FirstPrinted.LETTERS,
        "letters": FirstPrinted.LETTERS,
        "a": FirstPrinted.ARROW,
        "arrow": FirstPrinted.ARROW,
        "n": FirstPrinted.UNSEEN,
        "": FirstPrinted.UNSEEN,
    }
    question = "When it came out half-way, what was printed on it already? [l: letters, a: arrow, n: not seen]"
    return replace(answers, first_printed=bench.talk.choose(question, seen))


def _tell(bench: Bench, advice: Advice) -> None:
    say = bench.talk.say
    say("")
    if advice.agrees:
        say(f"settings.toml is right about: {', '.join(advice.agrees)}.")
    if advice.write:
        say("Write into settings.toml (no program changes that file but you):")
        for line in as_lines(bench.printer.name, advice.write, advice.now):
            say(f"  {line}")
    else:
        say("There is nothing to change.")
    for note in advice.notes:
        say(note)
    if advice.instead and advice.write:
        say("Or go on putting the stack in as you did for this test; then it is:")
        for line in as_lines(bench.printer.name, advice.write | advice.instead, advice.now):
            say(f"  {line}")


def _wait_for_settings(bench: Bench, turning: Turning, advice: Advice) -> Bench:
    """Go on only with settings that turn the sheet as the printer does: the target is drawn for that."""
    while advice.write:
        answer = bench.talk.ask("Press Enter when settings.toml is saved, or type s to go on as it is")
        if answer.casefold() == "s":
            return bench
        try:
            settings = load_settings(bench.settings.path)
        except SettingsRefused as error:
            bench.talk.say(f"{error}")
            continue
        printer, sheet = find_printer(settings, bench.printer.name), find_sheet(settings, bench.sheet.name)
        bench = replace(bench, settings=settings, printer=printer, sheet=sheet)
        advice = advise(turning, bench.printer)
        if advice.write:
            bench.talk.say(f"Not yet: {', '.join(advice.write)} in settings.toml still differ from the test.")
    return bench
