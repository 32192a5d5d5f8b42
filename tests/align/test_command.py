"""`print-folder align` from outside. Exit codes: design section 3."""

import tomllib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from watcher import cli

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run align on the shop; gives exit code, output and errors. Nobody answers questions."""
    monkeypatch.setattr("builtins.input", lambda _: (_ for _ in ()).throw(EOFError))

    def call(*words: object) -> tuple[int, str, str]:
        settings = shop / "settings.toml"
        monkeypatch.setattr("sys.argv", ["print-folder", "align", *map(str, words), "--settings", str(settings)])
        with pytest.raises(SystemExit) as stopped:
            cli.main()
        out, err = capsys.readouterr()
        return int(stopped.value.code or 0), out, err

    return call


LASER = ("laser", "--sheet", "letter")


def test_readings_as_options_are_kept(run, shop):
    readings = [word for mark in range(1, 7) for word in ("--reading", f"{mark}:+0.8,+0.5")]
    code, out, _ = run(*LASER, *readings)
    assert code == 0
    assert "moved 0.80 mm (0.031 in) right and 0.50 mm (0.020 in) up" in out
    (kept,) = tomllib.loads((shop / "alignment.toml").read_text())["alignments"]
    assert kept["shift_mm"] == [0.8, 0.5]


def test_turn_test_as_options_says_the_lines(run):
    words = ["--arrow", "a", "--first", "a", "--guide", "d", "--stack-face", "down", "--stack-first", "a"]
    code, out, _ = run(*LASER, *words)
    assert code == 1
    assert '  reload = "printed side down, top edge first"' in out


def test_nobody_to_ask_is_told_how_to_go_on(run, shop):
    code, out, _ = run(*LASER)
    assert code == 1
    assert out.rstrip().endswith("print-folder align laser --sheet letter")
    assert (shop / "align/laser_letter_turn-test_1-fronts.pdf").exists()


def test_scans_of_two_sheets_follow_each_other(run, shop, print_target, placing, centred):
    """Two sheets, 0.2 mm apart across: the mean is kept, and the scatter said."""
    files = []
    for number, right in enumerate((0.7, 0.9)):
        true = centred(np.array([114.3, 165.1]), 0.05, 1, 1, (right, 0.5))
        printed = print_target("small", 30 + number, true=true)
        for side in ("front", "back"):
            file = shop / f"{number}-{side}.png"
            printed.scan(side, placing(turn=1 + number, ppi=200.0), number).save(file, dpi=(200, 200))
            files.append(file)
    code, out, err = run("laser", "--sheet", "small", "--scans", *files)
    assert (code, err) == (0, "")
    assert "0-front.png, 0-back.png: 6 marks found." in out
    (kept,) = tomllib.loads((shop / "alignment.toml").read_text())["alignments"]
    assert kept["shift_mm"] == pytest.approx([0.8, 0.5], abs=0.03)
    assert kept["turn_degrees"] == pytest.approx(0.05, abs=0.02)
    assert kept["scatter_worst_mm"] == pytest.approx(0.2, abs=0.04)
    assert kept["read_by"] == "from scans"


@pytest.mark.parametrize(
    "words",
    [
        ["inkjet"],
        ["laser", "--show", "--forget"],
        [*LASER, "--reading", "1:a,b"],
        [*LASER, "--arrow", "E"],
        [*LASER, "--scans", "nothing.png", "nothing.png"],
        [*LASER, "one-word-too-many"],
        [*LASER, "--proof"],
    ],
)
def test_wrong_usage_is_one_line_and_two(run, words):
    code, _, err = run(*words)
    assert (code, err.count("\n")) == (2, 1)


def test_a_damaged_file_is_said_before_anything_is_asked(run, shop):
    (shop / "alignment.toml").write_text("[[alignments]")
    code, out, err = run(*LASER)
    assert (code, out) == (2, "")
    assert "alignment.toml: is damaged" in err
