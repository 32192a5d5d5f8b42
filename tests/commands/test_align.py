"""`print-folder align PRINTER`: options before and behind the sub-command, and each part from outside."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.run_command import run_command
from watcher.commands.align import options_first

Run = Callable[..., tuple[int, str]]


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("laser", "laser"),
        ("laser --sheet a4", "--sheet a4 laser"),
        ("laser --sheet turn turn --arrow A", "--sheet turn laser turn --arrow A"),
        ("--sheet a4 laser turn --sheet a5", "--sheet a4 laser turn --sheet a5"),
        ("show show", "show show"),  # a printer of that name
        ("laser --sheet=a4 show", "--sheet=a4 laser show"),
        ("laser -h", "-h laser"),
        ("laser --sheet", "laser --sheet"),
        ("-- laser turn", "-- laser turn"),
    ],
)
def test_options_behind_the_printer_are_read_before_it(typed: str, read: str) -> None:
    assert options_first(typed.split()) == read.split()


@pytest.fixture
def run(print_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run `align` on the office printer; `SETTINGS` stands for the settings file. Nobody answers questions."""
    monkeypatch.setattr("builtins.input", lambda _: (_ for _ in ()).throw(EOFError))

    def call(words: str) -> tuple[int, str]:
        settings = str(print_folder / "settings.toml")
        code, out, _ = run_command(monkeypatch, capsys, "align", *words.replace("SETTINGS", settings).split())
        return code, out

    return call


@pytest.mark.parametrize(
    "words",
    [
        "office --sheet letter --settings SETTINGS show",
        "office show --sheet letter --settings SETTINGS",
        "--settings SETTINGS office --sheet letter show",
        "office --settings SETTINGS show --sheet letter",
        "office --sheet a4 show --sheet letter --settings SETTINGS",
    ],
)
def test_sheet_and_settings_stand_before_or_behind_the_sub_command(run: Run, words: str) -> None:
    code, out = run(words)
    assert code == 0
    assert out.startswith("Printer office, sheet letter:")
    assert "sheet a4" not in out


def test_readings_are_shown_proved_and_dropped(run: Run, print_folder: Path) -> None:
    where = "--sheet letter --settings SETTINGS"
    readings = " ".join(f"--reading {mark}:+0.8,+0.5" for mark in range(1, 7))
    assert run(f"office register {readings} {where}")[0] == 0
    assert "moved 0.80 mm (0.031 in) right" in run(f"office show {where}")[1]
    assert run(f"office proof {where}")[0] == 0
    assert list((print_folder / "align").glob("office_letter_proof*.pdf"))
    assert "Dropped" in run(f"office forget {where}")[1]


def test_print_writes_the_sheets_and_asks_nothing(run: Run, print_folder: Path) -> None:
    code, out = run("office print --sheet letter --settings SETTINGS")
    assert code == 0
    assert len(list((print_folder / "align").iterdir())) == out.count(".pdf")


@pytest.mark.parametrize("part", ["turn", "register"])
def test_a_part_without_options_asks_and_says_how_to_go_on(run: Run, part: str) -> None:
    code, out = run(f"office {part} --sheet letter --settings SETTINGS")
    assert code == 1
    assert out.rstrip().endswith(f"print-folder align office --sheet letter {part}")


@pytest.mark.parametrize("words", ["office colours --sheet letter", "office --colours --sheet letter"])
def test_the_colour_strip_is_asked_for_by_a_command_or_an_option(run: Run, print_folder: Path, words: str) -> None:
    code, out = run(f"{words} --settings SETTINGS")
    assert code == 0
    assert "office_letter_colours.pdf" in out
    assert (print_folder / "align" / "office_letter_colours.pdf").exists()


def test_the_colour_strip_and_another_part_are_two_things(run: Run) -> None:
    assert run("office --colours --settings SETTINGS show")[0] == 2
