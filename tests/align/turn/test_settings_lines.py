"""What the turn test found is written into settings.toml when the person says so, and never without."""

from datetime import UTC, datetime
from pathlib import Path

from watcher.align.dialogue import Dialogue
from watcher.align.session import Session, open_session
from watcher.align.turn.conversation import ask_turning, take_turn_answers
from watcher.align.turn.options import TurnOptions
from watcher.align.turn.turning import Face, Letter
from watcher.errors import ExitCode
from watcher.settings.load import load_settings

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
AS_PUT_IN = ["", "A", "A", "D", "down", "A", "second"]  # answers that ask for lead, guide, reload and backs_order
OPTIONS = TurnOptions(arrow=Letter.A, first=Letter.A, guide=Letter.D, stack_face=Face.DOWN, stack_first=Letter.A)


class Person:
    """Gives answers in order and keeps what it hears."""

    def __init__(self, shop: Path, *answers: str) -> None:
        self.answers, self.heard = list(answers), []
        dialogue = Dialogue(say=self.heard.append, listen=self.listen)
        settings = load_settings(shop / "settings.toml")
        self.session: Session = open_session(settings, "laser", "letter", dialogue, NOON)

    def listen(self, question: str) -> str:
        self.heard.append(question)
        return self.answers.pop(0)


def test_yes_writes_the_lines_and_the_session_goes_on_with_them(shop: Path):
    before = (shop / "settings.toml").read_text()
    person = Person(shop, *AS_PUT_IN, "y")
    after = ask_turning(person.session)
    assert (after.printer.lead, after.printer.guide, after.printer.backs_order) == ("top", "left", "n-to-1")
    assert load_settings(shop / "settings.toml").printers["laser"] == after.printer
    assert (shop / "settings-before-2026-05-01.toml").read_text() == before
    assert "settings-before-2026-05-01.toml" in person.heard[-1]


def test_the_other_lines_are_written_where_they_are_offered(shop: Path):
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace('flip = "long-edge"\nduplex', 'flip = "short-edge"\nduplex'))
    after = ask_turning(Person(shop, *AS_PUT_IN, "o").session)
    assert (after.printer.flip, after.printer.reload) == ("long-edge", "printed side down, top edge first")


def test_without_a_yes_the_file_stays(shop: Path):
    before = (shop / "settings.toml").read_bytes()
    ask_turning(Person(shop, *AS_PUT_IN, "s").session)
    assert (shop / "settings.toml").read_bytes() == before
    assert not list(shop.glob("settings-before*"))


def test_options_write_only_with_the_word_for_it(shop: Path):
    before = (shop / "settings.toml").read_bytes()
    person = Person(shop)
    assert take_turn_answers(person.session, OPTIONS) is ExitCode.HELD
    assert "--write" in person.heard[-1]
    assert (shop / "settings.toml").read_bytes() == before
    assert take_turn_answers(Person(shop).session, OPTIONS, write=True) is ExitCode.WELL
    assert load_settings(shop / "settings.toml").printers["laser"].lead == "top"


def test_why_nothing_was_written_is_said_and_the_lines_stay_on_the_screen(shop: Path):
    person = Person(shop)
    file = shop / "settings.toml"
    file.write_text(file.read_text() + "\n[cards.invitation]\n")  # somebody is in the middle of editing it
    assert take_turn_answers(person.session, OPTIONS, write=True) is ExitCode.HELD
    assert "would not have been right afterwards" in person.heard[-2]
    assert person.heard[-1].startswith("Nothing was changed. Write the lines under [printers.laser] yourself")
