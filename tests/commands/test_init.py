"""`print-folder init`: three questions to a person, options otherwise, and settings that say what was answered."""

import sys
from pathlib import Path

import pytest

from tests.long_form import LONG
from tests.run_command import run_command
from watcher.align.dialogue import Dialogue, DialogueEnded
from watcher.commands.init import ask_choices
from watcher.settings.load import load_settings
from watcher.settings.papers import find_paper
from watcher.settings.starter import Choices
from watcher.settings.values import parse_size
from watcher.terms import Duplex, PrinterKind


def asked(choices: Choices, *answers: str) -> tuple[Choices, list[str]]:
    """What is chosen after these answers, and all that was said and asked."""
    left, heard = list(answers), []

    def listen(question: str) -> str:
        heard.append(question)
        if not left:
            raise EOFError
        return left.pop(0)

    chosen = ask_choices(choices, Dialogue(say=heard.append, listen=listen))
    assert not left, "everything was asked for"
    return chosen, heard


def test_paper_printer_and_who_turns_are_asked():
    chosen, heard = asked(Choices(), "A4", "inkjet", "printer")
    assert chosen == Choices(kind="home-inkjet", paper="A4", duplex=Duplex.AUTOMATIC)
    assert ["paper" in heard[0], "printer" in heard[1], "turns" in heard[2]] == [True] * 3


def test_enter_alone_is_what_is_usual():
    assert asked(Choices(), "", "", "")[0] == Choices(kind="home-laser", duplex=Duplex.MANUAL)
    assert asked(Choices(kind="shop"), "", "")[0].duplex is Duplex.AUTOMATIC


def test_what_options_say_is_not_asked():
    given = Choices(kind="shop", paper="SRA3", duplex=Duplex.MANUAL)
    assert asked(given) == (given, [])


def test_a_paper_that_is_none_is_asked_for_again():
    chosen, heard = asked(Choices(), "a44", "a4", "l", "me")
    assert chosen.paper == "a4"
    assert heard[1].startswith('The paper is "a44"; no paper has this name')


def test_leaving_makes_nothing():
    with pytest.raises(DialogueEnded):
        asked(Choices(), "A4")


@pytest.fixture
def run(tmp_path, monkeypatch, capsys):
    """Run `init` below a home of its own; gives exit code and what was said."""
    monkeypatch.setattr(Path, "home", lambda: tmp_path)

    def call(*words: str, terminal: bool = False) -> tuple[int, str]:
        monkeypatch.setattr(sys.stdin, "isatty", lambda: terminal, raising=False)
        code, out, err = run_command(monkeypatch, capsys, "init", *words)
        return code, out + err

    return call


def test_without_a_terminal_nothing_is_asked_and_the_home_folder_is_taken(run, tmp_path):
    assert run()[0] == 0
    assert load_settings(tmp_path / "print-folder" / "settings.toml").printers["laser"].duplex is Duplex.MANUAL


def test_at_a_terminal_the_answers_are_in_the_settings(run, tmp_path, monkeypatch):
    answers = iter(["A4", "inkjet", "printer"])
    monkeypatch.setattr("builtins.input", lambda _: next(answers))
    assert run(str(tmp_path / "new"), terminal=True)[0] == 0
    settings = load_settings(tmp_path / "new" / "settings.toml")
    (printer,) = settings.printers.values()
    assert (printer.kind, printer.duplex) == (PrinterKind.INKJET, Duplex.AUTOMATIC)
    assert {settings.sheet_for(card).size for card in settings.cards.values()} == {find_paper("A4")}


def test_a_folder_that_is_taken_is_said_before_anything_is_asked(run, tmp_path, monkeypatch):
    run(str(tmp_path / "new"))
    monkeypatch.setattr("builtins.input", lambda question: pytest.fail(question))
    code, said = run(str(tmp_path / "new"), terminal=True)
    assert code == 2
    assert "is there already and stays as it is" in said


def test_leaving_at_a_terminal_leaves_no_folder(run, tmp_path, monkeypatch):
    monkeypatch.setattr("builtins.input", lambda _: (_ for _ in ()).throw(EOFError))
    code, said = run(str(tmp_path / "new"), terminal=True)
    assert (code, "Nothing was made." in said) == (130, True)
    assert not (tmp_path / "new").exists()


KINDS = ["home-laser", "home-inkjet", "shop"]
PAPERS = ["letter", "A4", "SRA3", "13 x 19 in", "12,5 x 19 in", "A4 landscape"]


@pytest.mark.parametrize(
    ("kind", "paper"),
    [(kind, paper) for i, kind in enumerate(KINDS) for j, paper in enumerate(PAPERS) if LONG or i == j % 3],
)
def test_whatever_the_paper_every_card_of_the_starter_fits_on_it(run, tmp_path, kind, paper):
    assert run(str(tmp_path / "new"), "--for", kind, "--paper", paper, "--turns", "me")[0] == 0
    file = tmp_path / "new" / "settings.toml"
    settings = load_settings(file)
    assert {settings.sheet_for(card).size for card in settings.cards.values()} == {parse_size(paper)}
    assert {printer.duplex for printer in settings.printers.values()} == {Duplex.MANUAL}
    assert file.read_text().count("#") > 80, "the words beside the settings stay"
