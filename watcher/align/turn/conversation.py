"""Ask through the turn test, or take its answers from options, and say what settings.toml should have."""

from dataclasses import replace
from pathlib import Path

from watcher.align.dialogue import YES_NO, DialogueEnded
from watcher.align.session import Session
from watcher.align.turn.advice import Advice, advise, as_lines
from watcher.align.turn.options import TurnOptions
from watcher.align.turn.settings_lines import write_lines
from watcher.align.turn.turning import AnswersContradict, Face, FirstPrinted, Letter, TurnAnswers, Turning, find_turning
from watcher.errors import ExitCode, SettingsRefused
from watcher.settings.alignment import find_printer, find_sheet, load_alignments, save_alignment
from watcher.settings.alignment_file import TurnTest
from watcher.settings.load import load_settings
from watcher.terms import Flip

_LETTERS = {str(letter): letter for letter in Letter}
_LETTERS_OR_NOT: dict[str, Letter | None] = {**_LETTERS, "": None}


def ask_turning(session: Session) -> Session:
    """Ask through the turn test until the settings agree with it.

    Returns:
        The session with the settings as they are then.

    Raises:
        DialogueEnded: the person stopped.
    """
    if not _is_wanted(session):
        return session
    _tell_how_to_print(session, session.write_turn_test())
    if session.dialogue.ask("Press Enter when it is printed, or type s to leave the turn test out").casefold() == "s":
        return session
    while True:
        try:
            turning = find_turning(_ask(session), session.sheet.size, session.printer.duplex)
            break
        except AnswersContradict as error:
            session.say(f"{error}")
            if not session.dialogue.choose("Answer again? [y/n]", YES_NO):
                raise DialogueEnded from error
    return _bring_settings_in_line(session, turning, save_turning(session, turning))


def take_turn_answers(session: Session, options: TurnOptions, *, write: bool = False) -> ExitCode:
    """Find from options how the printer turns a sheet, save it, and say what settings.toml should have.

    Args:
        session: printer and sheet.
        options: the answers.
        write: whether the lines are written into settings.toml at once.

    Returns:
        WELL: the settings are right. HELD: lines are to be written, as was said.

    Raises:
        WrongUsage: the answers cannot be used.
        SettingsRefused: alignment.toml is damaged.
    """
    session.introduce()
    turning = find_turning(options.answers(session.printer.duplex), session.sheet.size, session.printer.duplex)
    advice = save_turning(session, turning)
    if advice.write and not write:
        session.say("", "To have them written for you, give the same command with --write.")
    written = bool(advice.write) and write and write_lines(session, advice.write)
    return ExitCode.HELD if advice.write and not written else ExitCode.WELL


def save_turning(session: Session, turning: Turning) -> Advice:
    """Save the result of a turn test, and say what it means for settings.toml."""
    advice = advise(turning, session.printer)
    save_alignment(session.settings, TurnTest(printer=session.printer.name, made_at=session.now, found=advice.wanted))
    _tell(session, advice)
    return advice


def _is_wanted(session: Session) -> bool:
    """Whether to do the turn test; asked when it was done before and the settings agree with it."""
    last = load_alignments(session.settings).last_turn_test(session.printer.name)
    if last is None or not agrees(session, last):
        return True
    if session.turns_by_hand and session.printer.backs_order is None:
        session.say("Not known yet: in which order a stack comes when it goes back in. The turn test tells it.")
        return True
    question = f"The turn test was done on {last.made_at.date()}, and settings.toml agrees. Do it again? [y/N]"
    return session.dialogue.choose(question, {**YES_NO, "": False})


def agrees(session: Session, test: TurnTest) -> bool:
    """Whether the settings say what a turn test found."""
    has = {key: getattr(session.printer, key) for key in test.found}
    return all(str(value or "").casefold() == test.found[key].casefold() for key, value in has.items())


def _tell_how_to_print(session: Session, files: list[Path]) -> None:
    say = session.say
    sheets = "TWO blank sheets" if session.turns_by_hand else "ONE blank sheet"
    say("")
    say(f"FIRST, how the {'stack' if session.turns_by_hand else 'sheet'} is turned. Take {sheets} and a pencil:")
    say("  write a 1 at the edge that goes into the printer first,")
    say("  and a 2 at the edge along the paper guide (where both guides move, the left one).")
    if session.turns_by_hand:
        say(f"Put them in together and print {session.how_to_print()}:")
        say(f"  {files[0]}")
        say("Put both printed sheets back in together, one upon the other just as they came out, and as you are used")
        say("to. Note two things before they go in:")
        say("  do the letters face up or down, and which letter's edge goes in first? Then print:")
        say(f"  {files[1]}")
        return
    say(f"Put it in and print {session.how_to_print()}:")
    say(f"  {files[0]}")
    say("Watch the sheet: many printers push it out half-way before they print its second side.")


def _ask(session: Session) -> TurnAnswers:
    dialogue = session.dialogue
    which = "the FIRST SHEET" if session.turns_by_hand else "the sheet"
    question = f"Hold {which} with the letters facing you, against the light. Which letter lies behind the arrow?"
    choices: dict[str, Letter | None] = {**_LETTERS, "S": None}
    behind = dialogue.choose(f"{question} [A B C D, or S: arrow and letters are on the same face]", choices)
    answers = TurnAnswers(
        arrow=behind or _ask_where_it_points(session),
        one_face=behind is None,
        lead=dialogue.choose("Which letter is at the edge with the 1? [A B C D, Enter: no 1 there]", _LETTERS_OR_NOT),
        guide=dialogue.choose("Which letter is at the edge with the 2? [A B C D, Enter: no 2 there]", _LETTERS_OR_NOT),
    )
    if session.turns_by_hand:
        return _ask_stack(session, answers)
    return _ask_chosen(session, _ask_first_side(session, answers))


def _ask_where_it_points(session: Session) -> Letter:
    """Ask where an arrow on the same face points; a printer that turns the sheet is refused whatever the answer."""
    if not session.turns_by_hand:
        return Letter.A
    return session.dialogue.choose("Which letter does the arrow point to? [A B C D]", _LETTERS)


def _ask_stack(session: Session, answers: TurnAnswers) -> TurnAnswers:
    faces: dict[str, Face] = {"up": Face.UP, "down": Face.DOWN}
    face = session.dialogue.choose("When the sheets went back in, did the letters face up or down? [up/down]", faces)
    lead = session.dialogue.choose("And which letter's edge went in first then? [A B C D]", _LETTERS)
    own: dict[str, bool | None] = {
        **dict.fromkeys(("first", "f", "1"), True),
        **dict.fromkeys(("second", "s", "2"), False),
        "": None,
    }
    question = (
        "Take the sheet whose letters say FIRST SHEET. Which sheet does its arrow say? [first, second, Enter: there "
        "was only one sheet]"
    )
    return replace(answers, stack_face=face, stack_lead=lead, own_back=session.dialogue.choose(question, own))


def _ask_chosen(session: Session, answers: TurnAnswers) -> TurnAnswers:
    """Ask which edge was chosen in the print dialog, where the sheet did not turn on the one that was asked for."""
    told = session.printer.chosen_flip
    turned = find_turning(answers, session.sheet.size, session.printer.duplex).flip
    if told is not None and turned is session.printer.flip:
        return answers
    edges: dict[str, Flip | None] = {
        **{word: flip for flip in Flip for word in (flip.length, flip.length[0], str(flip))},
        "": told,
    }
    otherwise = f"the {told.words}, as asked" if told else "I do not know"
    turned_on = f"The sheet turned on its {turned.words}. " if turned else ""
    question = f"{turned_on}Which edge did you choose in the print dialog? [long, short, Enter: {otherwise}]"
    return replace(answers, chosen=session.dialogue.choose(question, edges))


def _ask_first_side(session: Session, answers: TurnAnswers) -> TurnAnswers:
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
    return replace(answers, first_printed=session.dialogue.choose(question, seen))


def _tell(session: Session, advice: Advice) -> None:
    say = session.say
    say("")
    if advice.agrees:
        say(f"settings.toml is right about: {', '.join(advice.agrees)}.")
    if advice.write:
        say("settings.toml should have these lines:")
        for line in as_lines(session.printer.name, advice.write, advice.now):
            say(f"  {line}")
    else:
        say("There is nothing to change.")
    for note in advice.notes:
        say(note)
    if advice.instead and advice.write:
        say("Or go on putting the stack in as you did for this test; then it is:")
        for line in as_lines(session.printer.name, advice.write | advice.instead, advice.now):
            say(f"  {line}")


def _bring_settings_in_line(session: Session, turning: Turning, advice: Advice) -> Session:
    """Ask until settings.toml turns the sheet as the printer does, since the target is drawn for that."""
    ways = _ways_to_write(advice)
    other = ", o: write the other ones" if len(ways) > 1 else ""
    question = (
        f"Shall I write them into settings.toml? [y: write them{other}, Enter: I have done it, s: go on as it is]"
    )
    while advice.write:
        answer = session.dialogue.choose(question, {**{word: word for word in ways}, "": "", "s": "s"})
        if answer == "s" or (answer and not write_lines(session, ways[answer])):
            return session
        try:
            session = _read_again(session)
        except SettingsRefused as error:
            session.say(f"{error}")
            continue
        advice = advise(turning, session.printer)
        if advice.write:
            session.say(f"Not yet: {', '.join(advice.write)} in settings.toml still differ from the test.")
    return session


def _ways_to_write(advice: Advice) -> dict[str, dict[str, str]]:
    """Give the lines that may be written, by the answer that asks for them."""
    ways = {"y": advice.write}
    return {**ways, "o": advice.write | advice.instead} if advice.instead else ways


def _read_again(session: Session) -> Session:
    settings = load_settings(session.settings.path)
    printer, sheet = find_printer(settings, session.printer.name), find_sheet(settings, session.sheet.name)
    return replace(session, settings=settings, printer=printer, sheet=sheet)
