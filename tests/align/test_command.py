"""`print-folder align` from outside. Exit codes: README, "Commands"."""

import tomllib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from tests.run_command import run_command
from watcher.settings.alignment import correction_for
from watcher.settings.load import load_settings

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run align on the shop; gives exit code, output and errors. Nobody answers questions."""
    monkeypatch.setattr("builtins.input", lambda _: (_ for _ in ()).throw(EOFError))

    def call(*words: object) -> tuple[int, str, str]:
        settings = shop / "settings.toml"
        return run_command(monkeypatch, capsys, "align", *words, "--settings", settings)

    return call


LASER = ("laser", "--sheet", "letter")


def test_readings_as_options_are_kept(run, shop):
    readings = [word for mark in range(1, 7) for word in ("--reading", f"{mark}:+0.8,+0.5")]
    code, out, _ = run(*LASER, "register", *readings)
    assert code == 0
    assert "moved 0.80 mm (0.031 in) right and 0.50 mm (0.020 in) up" in out
    (kept,) = tomllib.loads((shop / "alignment.toml").read_text())["alignments"]
    assert kept["shift_mm"] == [0.8, 0.5]


def _one_side_and_no_flip(shop):
    file = shop / "settings.toml"
    text = file.read_text().replace("[cards.invitation]", "[cards.invitation]\nsides = 1")
    file.write_text(text.replace('[printers.laser]\nflip = "long-edge"\n', "[printers.laser]\n"))


def test_a_printer_whose_flip_is_unknown_is_not_measured(run, shop):
    _one_side_and_no_flip(shop)
    code, out, err = run(*LASER, "register", "--reading", "1:+0.8,+0.5")
    assert (code, "mark" in out) == (2, False)
    assert "does not say how laser turns a sheet. Do the turn test" in err


def test_its_correction_of_earlier_can_be_dropped(run, shop):
    run(*LASER, "register", *(word for mark in range(1, 7) for word in ("--reading", f"{mark}:+0.8,+0.5")))
    _one_side_and_no_flip(shop)
    assert run(*LASER, "forget")[0] == 0
    last = tomllib.loads((shop / "alignment.toml").read_text())["alignments"][-1]
    assert (last["forgotten"], last["flip"]) == (True, "long-edge")
    assert run(*LASER, "show")[0] == 0  # the file can be read again


def test_turn_test_as_options_says_the_lines(run):
    words = ["turn", "--arrow", "a", "--first", "a", "--guide", "d", "--stack-face", "down", "--stack-first", "a"]
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
            printed.scan(side, placing(turn=1 + number, ppi=150.0), number).save(file, dpi=(150, 150))
            files.append(file)
    code, out, err = run("laser", "register", "--sheet", "small", "--scans", *files)
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
        ["laser", "show", "forget"],
        [*LASER, "register", "--reading", "1:a,b"],
        [*LASER, "turn", "--arrow", "E"],
        [*LASER, "register", "--scans", "nothing.png", "nothing.png"],
        [*LASER, "register", "one-word-too-many"],
        [*LASER, "one-word-too-many"],
        [*LASER, "proof"],
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


class TestProof:
    """A correction kept, its proof printed and scanned (model: conftest)."""

    READINGS = tuple(word for mark in range(1, 7) for word in ("--reading", f"{mark}:+1.5,-1.2"))

    @pytest.fixture
    def scan_proof(self, run, shop, print_target, placing, centred):
        """Keep a shift of 1.5, -1.2 mm, scan its proof on a printer that needs the given one."""
        assert run("laser", "--sheet", "small", "register", *self.READINGS)[0] == 0
        correction = correction_for(load_settings(shop / "settings.toml"), "laser", "small")

        def scanned(right: float, up: float) -> list[Path]:
            true = centred(np.array([114.3, 165.1]), 0, 1, 1, (right, up))
            printed = print_target("small", 60, true=true, proof=correction, run=9)
            files = []
            for side in ("front", "back"):
                file = shop / f"proof-{side}.png"
                printed.scan(side, placing(turn=1, ppi=150.0), 1).save(file, dpi=(150, 150))
                files.append(file)
            return files

        return scanned

    def test_that_is_right_is_reported_and_the_correction_stays(self, run, shop, scan_proof):
        before = (shop / "alignment.toml").read_bytes()
        code, out, err = run("laser", "--sheet", "small", "register", "--scans", *scan_proof(1.5, -1.2))
        assert (code, err) == (0, "")
        assert "It is a proof of run 9." in out
        assert "The correction is right" in out
        assert (shop / "alignment.toml").read_bytes() == before

    def test_that_is_off_says_by_how_much_and_what_to_do(self, run, shop, scan_proof):
        before = (shop / "alignment.toml").read_bytes()
        code, out, _ = run("laser", "--sheet", "small", "register", "--scans", *scan_proof(2.3, -1.2))
        assert code == 1
        assert "The backs land 0.8" in out
        assert "print the target (print-folder align laser --sheet small print), not the proof" in out
        assert (shop / "alignment.toml").read_bytes() == before


class TestDoubtful:
    MISREAD = tuple(
        word for mark in range(1, 7) for word in ("--reading", f"{mark}:{'+0.3' if mark == 2 else '+0.8'},+0.5")
    )

    def test_readings_are_not_kept_and_the_mark_is_named(self, run, shop):
        code, out, _ = run(*LASER, "register", *self.MISREAD)
        assert code == 1
        assert "Look at mark 2 again: it reads +0.3, +0.5 mm, by all the others it should be +0.8, +0.5 mm." in out
        assert "Nothing was kept" in out
        assert not (shop / "alignment.toml").exists()

    def test_readings_are_kept_when_that_is_asked_for(self, run, shop):
        code, out, _ = run(*LASER, "register", *self.MISREAD, "--keep-doubtful")
        assert (code, (shop / "alignment.toml").exists()) == (0, True)
        assert "Look at mark 2 again" in out

    def test_three_readings_ask_for_a_fourth(self, run, shop):
        code, out, _ = run(*LASER, "register", *(w for m in (1, 2, 5) for w in ("--reading", f"{m}:+0.8,+0.5")))
        assert (code, (shop / "alignment.toml").exists()) == (1, False)
        assert "Read a fourth" in out


def test_every_call_writes_targets_of_another_run(run, shop):
    files = []
    for _ in range(3):
        run(*LASER, "print")
        files.append((shop / "align/laser_letter_register-target_1-fronts.pdf").read_bytes())
    assert len(set(files)) > 1
