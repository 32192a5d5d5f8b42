"""A conversation as two people have it: what one says, what the other answers, and the settings written meanwhile."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from watcher.align.conversation import converse as converse_about
from watcher.align.dialogue import Dialogue
from watcher.align.register.measure import measure_register
from watcher.align.register.options import RegisterOptions
from watcher.align.session import Session, open_session
from watcher.align.show import show_alignments
from watcher.align.turn.conversation import take_turn_answers
from watcher.align.turn.options import TurnOptions
from watcher.errors import ExitCode
from watcher.settings.alignment import correction_for
from watcher.settings.load import load_settings

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
RIGHT = 'lead = "top"\nguide = "left"\nreload = "printed side down, top edge first"\nbacks_order = "n-to-1"\n'
GOOD_TURN = ["", "A", "A", "D", "down", "A", "second"]
Converse = Callable[..., tuple[ExitCode, list[str]]]
Do = Callable[[Session], ExitCode | None]


class Person:
    """TurnAnswers in order; an answer may be something to do before it. Leaves when there is no answer left."""

    def __init__(self, answers: list[object]) -> None:
        self.answers: Iterator[object] = iter(answers)
        self.heard: list[str] = []

    def listen(self, question: str) -> str:
        self.heard.append(question)
        try:
            answer = next(self.answers)
        except StopIteration:
            raise EOFError from None
        return str(answer() if callable(answer) else answer)


def answer(**options: object) -> Do:
    """Give the answers of the turn test as options."""
    return lambda session: take_turn_answers(session, TurnOptions(**options))


def measure(**options: object) -> Do:
    """Give readings or scans as options."""
    return lambda session: measure_register(session, RegisterOptions(**options))


def show(session: Session) -> None:
    show_alignments(session.settings, session.printer.name, session.sheet.name, session.dialogue, session.now)


@pytest.fixture
def converse(shop: Path, monkeypatch: pytest.MonkeyPatch) -> Converse:
    """Have a conversation about the laser printer and its letter sheet, or do one thing with them.

    Gives the exit code and all that was said. The sheets to print are empty files: what is on them is not talked about.
    """
    monkeypatch.setattr("watcher.align.pages._file", lambda _sheet, _sides: b"%PDF-1.6\n%%EOF\n")

    def meet(
        *answers: object,
        do: Do | None = None,
        printer: str = "laser",
        sheet: str | None = "letter",
        now: datetime = NOON,
    ) -> tuple[ExitCode, list[str]]:
        person = Person(list(answers))
        settings = load_settings(shop / "settings.toml")
        dialogue = Dialogue(say=person.heard.append, listen=person.listen)
        if do is None:
            code = converse_about(settings, printer, sheet, dialogue, now)
        else:
            code = do(open_session(settings, printer, sheet, dialogue, now)) or ExitCode.WELL
        assert list(person.answers) == [], "everything was asked for"
        return code, person.heard

    return meet


@pytest.fixture
def write(shop: Path) -> Callable[..., Callable[[], str]]:
    """Write into the printer's table when it is asked for, and press Enter."""

    def later(lines: str = RIGHT, old: str = "", new: str = "") -> Callable[[], str]:
        def act() -> str:
            file = shop / "settings.toml"
            file.write_text(
                file.read_text().replace(old, new).replace('duplex = "manual"\n', f'duplex = "manual"\n{lines}')
            )
            return ""

        return act

    return later


def correction(shop: Path):
    return correction_for(load_settings(shop / "settings.toml"), "laser", "letter")
