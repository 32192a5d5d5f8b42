"""Every wrong form of every command, asked of the library itself: the answer is one line in our words."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, get_type_hints

import pytest
import typer

from tests.run_command import run_command
from watcher.commands import app as cli
from watcher.commands.usage import say_usage

COMMANDS = ("init", "run", "once", "check", "status", "retry", "repeat", "orders", "remove", "gang", "align", "demo")
PARTS = ("turn", "register", "show", "forget", "proof", "print", "colours")
# what the libraries say: typer and click, pydantic, argparse, datetime
STOCK = (
    "Value error",
    "unable to parse",
    "Invalid value",
    "No such",
    "Got unexpected",
    "Error:",
    "%Y",
    "is not a valid",
)
STOCK += ("validation error", "requires an argument", "Missing", "should be", "isoformat", "Usage:", "Input ", "None")

DATE = "write year, month and day, such as --since 2026-01-31."
NUMBER = "write a whole number from 1 to 1,000,000"
TURN = "print-folder align PRINTER turn"

Run = Callable[..., str]


@pytest.fixture
def wrong(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Run:
    """Run a command that is used wrongly; gives its one line of error."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path / "nobody"))

    def call(words: str) -> str:
        code, out, err = run_command(monkeypatch, capsys, *words.split())
        assert (code, out, err.count("\n")) == (2, "", 1)
        assert not [words for words in STOCK if words in err]
        return err.removeprefix("print-folder: ").rstrip("\n")

    return call


def every_command() -> Iterator[str]:
    """Give all commands with what they cannot do without."""
    needed = {"init": " new", "retry": " tea", "repeat": " tea", "remove": " tea"}
    yield from (f"{command}{needed.get(command, '')}" for command in COMMANDS if command != "align")
    yield from ("align laser", *(f"align laser {part}" for part in PARTS))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("frob", "There is no command frob. See print-folder --help."),
        ("oncee", "There is no command oncee. Did you mean once? See print-folder --help."),
        ("rety", "There is no command rety. Did you mean retry or repeat? See print-folder --help."),
        ("retry", "ORDER is missing: write it behind the command. See print-folder retry --help."),
        ("repeat", "ORDER is missing: write it behind the command. See print-folder repeat --help."),
        ("remove", "ORDER is missing: write it behind the command. See print-folder remove --help."),
        ("align", "PRINTER is missing: write it behind the command. See print-folder align --help."),
        ("align laser trun", "There is no command trun. Did you mean turn? See print-folder align --help."),
        ("align laser turn --arow A", f"There is no option --arow. Did you mean --arrow? See {TURN} --help."),
        ("run --sett here", "There is no option --sett. Did you mean --settings? See print-folder run --help."),
        ("run --settings", "--settings needs a value behind it. See print-folder --help."),
        ("check --card", "--card needs a value behind it. See print-folder --help."),
        ("align laser --sheet", "--sheet needs a value behind it. See print-folder --help."),
        ("align laser register --scans a", "--scans needs 2 values behind it. See print-folder --help."),
        ("status --json=yes", "--json stands alone: leave out what is joined to it. See print-folder --help."),
        ("once now", "now: one word too many. See print-folder once --help."),
        ("once right now", "right now: some words too many. See print-folder once --help."),
        ("init new --for moon", '--for is "moon"; write one of: home-laser, home-inkjet, shop.'),
        ("orders --since 1.5.2026", '--since is "1.5.2026"; ' + DATE),
        ("orders --since 2026-02-30", '--since is "2026-02-30"; ' + DATE),
        ("repeat tea --quantity some", f'--quantity is "some"; {NUMBER}, such as --quantity 2.'),
        ("repeat tea --quantity -1", f'--quantity is "-1"; {NUMBER}, such as --quantity 2.'),
        ("repeat tea --sheets 0", '--sheets is "0"; write a whole number from 1 to 10,000, such as --sheets 2.'),
        ("repeat tea --only 1.5", '--only is "1.5"; write a whole number from 1 to 9,999, such as --only 2.'),
        ("align laser turn --arrow E", '--arrow is "E"; write one of: A, B, C, D.'),
        ("align laser turn --first 1", '--first is "1"; write one of: A, B, C, D.'),
        ("align laser turn --guide x", '--guide is "x"; write one of: A, B, C, D.'),
        ("align laser turn --stack-first x", '--stack-first is "x"; write one of: A, B, C, D.'),
        ("align laser turn --stack-face left", '--stack-face is "left"; write one of: up, down.'),
        ("align laser turn --first-sheet third", '--first-sheet is "third"; write one of: first, second.'),
        ("align laser turn --printed-first x", '--printed-first is "x"; write one of: letters, arrow, unseen.'),
        ("align laser turn --chosen both", '--chosen is "both"; write one of: long-edge, short-edge.'),
        ("align laser register --sheets-measured few", '--sheets-measured is "few"; write a whole number from 1 to'
         " 1,000,000, such as --sheets-measured 2."),
        ("align laser register a.png", "a.png is one word too many; scans stand behind --scans."),
        ("align laser register --scans a b c", "--scans takes the front and the back of each sheet: an even number of"
         " files."),
    ],
)  # fmt: skip
def test_a_wrong_form_is_said_in_our_words(wrong: Run, words: str, said: str) -> None:
    assert wrong(words) == said


@pytest.mark.parametrize("words", tuple(every_command()))
def test_every_command_names_an_option_that_there_is_not(wrong: Run, words: str) -> None:
    assert wrong(f"{words} --frob").startswith("There is no option --frob.")


@pytest.mark.parametrize("words", [*every_command(), "align"])
def test_an_abbreviated_option_is_not_guessed(wrong: Run, words: str) -> None:
    """Every command but `init` and `demo` has --settings; the one that is near is named."""
    said = wrong(f"{words} --setting x")
    assert said.startswith("There is no option --setting.")
    assert ("--settings" in said) is (words not in ("init new", "demo"))


@pytest.mark.parametrize("words", tuple(every_command()))
def test_an_extra_word_is_named(wrong: Run, words: str) -> None:
    if words in ("check", "orders"):  # these take any number of words
        return
    assert "one-word" in wrong(f"{words} {'new ' if words == 'demo' else ''}one-word")


def functions() -> Iterator[Callable[..., Any]]:
    """Give the functions of all commands, and of those below them."""
    for one in (cli.app, *map(cli.find, cli.COMMANDS)):
        if isinstance(one, typer.Typer):
            assert one.registered_callback is not None
            yield from (part.callback for part in (one.registered_callback, *one.registered_commands) if part.callback)
        else:
            yield one


def parameters() -> Iterator[tuple[str, Any, Any]]:
    """Give name, type and typer's description of all arguments and options."""
    for function in functions():
        for name, hint in get_type_hints(function, include_extras=True).items():
            if hasattr(hint, "__metadata__"):
                yield f"{function.__name__}: {name}", hint.__origin__, hint.__metadata__[0]


def test_no_value_is_converted_by_the_library() -> None:
    """Its own words for a wrong number, date or choice come from its conversions; texts, paths and flags have none."""
    plain = (str, bool, Path, str | None, Path | None, list[str] | None, list[Path] | None, tuple[Path, Path] | None)
    found = list(parameters())
    assert len(found) > 40
    assert [name for name, kind, info in found if kind not in plain and not getattr(info, "parser", None)] == []


def test_what_the_library_never_said_before_stays_plain() -> None:
    assert say_usage("Value error, quite new") == "The command is not understood."
