"""The commands from outside: what they print, what they answer. Exit codes: README, "Commands"."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.run_command import run_command
from watcher.commands import app as cli

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], inline_workers: None, tmp_path: Path
) -> Run:
    """Run a command in this process with inline workers; gives exit code, output and errors."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path / "nobody"))

    def call(*words: object) -> tuple[int, str, str]:
        return run_command(monkeypatch, capsys, *words)

    return call


@pytest.fixture
def shop(print_folder: Path, run: Run) -> Callable[..., tuple[int, str, str]]:
    """Run a command on the print folder."""
    return lambda *words: run(*words, "--settings", print_folder / "settings.toml")


class TestHelp:
    def test_without_a_command_shows_all_of_them(self, run: Run) -> None:
        code, out, _ = run()
        assert code == 0
        for command in ("init", "run", "once", "check", "status", "retry", "demo"):
            assert f"\n  {command} " in out

    def test_descriptions_are_whole_sentences_not_cut_off(self, run: Run) -> None:
        assert "..." not in run()[1].partition("Commands:")[2]

    @pytest.mark.parametrize("name", cli.COMMANDS)
    def test_the_line_of_each_command_is_the_first_of_what_it_says_of_itself(self, run: Run, name: str) -> None:
        """The list of commands is shown without loading them, so their lines stand in it a second time."""
        code, out, _ = run(name, "--help")
        assert code == 0
        assert out.split("\n\n")[1].strip() == cli.COMMANDS[name]

    @pytest.mark.parametrize("words", [["frob"], ["run", "--frob"], ["retry"], ["init", "x", "--for", "moon"]])
    def test_wrong_usage_is_one_line_and_two(self, run: Run, words: list[str]) -> None:
        code, out, err = run(*words)
        assert (code, out, err.count("\n")) == (2, "", 1)


class TestInit:
    @pytest.mark.parametrize("kind", ["home-laser", "home-inkjet", "shop"])
    def test_makes_a_print_folder_that_check_accepts(self, run: Run, tmp_path: Path, kind: str) -> None:
        assert run("init", tmp_path / "new", "--for", kind)[0] == 0
        code, out, _ = run("check", "--settings", tmp_path / "new/settings.toml")
        assert code == 0
        assert "does not fit" not in out

    def test_never_overwrites(self, run: Run, tmp_path: Path) -> None:
        run("init", tmp_path / "new")
        before = (tmp_path / "new/settings.toml").read_bytes()
        code, _, err = run("init", tmp_path / "new")
        assert (code, err.count("\n")) == (2, 1)
        assert (tmp_path / "new/settings.toml").read_bytes() == before


class TestSettings:
    def test_that_are_nowhere_are_said_with_the_way_out(self, run: Run) -> None:
        code, _, err = run("once")
        assert code == 2
        assert "print-folder init" in err

    def test_that_are_wrong_are_told_all_at_once_a_line_each(self, print_folder: Path, shop: Run) -> None:
        file = print_folder / "settings.toml"
        file.write_text(file.read_text().replace('trim = "5 x 7 in"', 'trim = "5 x 7"').replace('"A4"', '"A44"'))
        code, _, err = shop("once")
        assert code == 2
        assert "cards.invitation.trim" in err
        assert "sheets.a4.size" in err

    def test_are_found_in_the_current_folder(
        self, print_folder: Path, run: Run, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.chdir(print_folder)
        assert run("check")[0] == 0


class TestOnce:
    def test_with_nothing_to_do_is_well(self, shop: Run) -> None:
        assert shop("once")[0] == 0

    def test_that_made_everything_is_well_and_says_what(
        self, print_folder: Path, shop: Run, drop_pair: Callable
    ) -> None:
        drop_pair(print_folder / "inbox", "lantern_x50")
        code, out, _ = shop("once")
        assert code == 0
        assert "50 cards = 25 sheets, plus 1 spare" in out

    def test_that_leaves_a_half_waiting_says_so(self, print_folder: Path, shop: Run, draw_card: Callable) -> None:
        draw_card(print_folder / "inbox/lantern_front.png")
        code, out, _ = shop("once")
        assert code == 1
        assert "waits for its back" in out

    def test_that_held_something_says_so(self, print_folder: Path, shop: Run) -> None:
        (print_folder / "inbox/menu.docx").write_bytes(b"words")
        assert shop("once")[0] == 1

    def test_that_cannot_write_answers_three(self, print_folder: Path, shop: Run) -> None:
        (print_folder / "outbox").write_text("a file where the folder should be")
        code, _, err = shop("once")
        assert (code, err.count("\n")) == (3, 1)


class TestStatus:
    def test_shows_what_waits_what_is_held_and_what_is_finished(
        self, print_folder: Path, shop: Run, drop_pair: Callable, draw_card: Callable
    ) -> None:
        drop_pair(print_folder / "inbox", "lantern")
        drop_pair(print_folder / "inbox", "blurred", size=(100, 138))
        draw_card(print_folder / "inbox/alone_front.png")
        shop("once")
        code, out, _ = shop("status")
        assert code == 1
        assert "alone: waits for its back" in out
        assert "blurred: Held, needs your answer" in out
        assert "lantern: print 6 sheets" in out or "lantern: print 2 sheets" in out

    def test_of_an_empty_folder_is_well(self, shop: Run) -> None:
        assert shop("status")[0] == 0


class TestRetry:
    def test_takes_a_held_order_up_again(self, print_folder: Path, shop: Run, drop_pair: Callable) -> None:
        drop_pair(print_folder / "inbox", size=(158, 218))
        shop("once")
        assert shop("retry", "lantern")[0] == 1
        assert (print_folder / "held/lantern/why.txt").exists()

    def test_anyway_accepts_soft_findings(self, print_folder: Path, shop: Run, drop_pair: Callable) -> None:
        drop_pair(print_folder / "inbox", size=(158, 218))
        shop("once")
        assert shop("retry", "lantern", "--anyway")[0] == 0
        assert (print_folder / "outbox/lantern/lantern_sheets.pdf").exists()

    def test_anyway_does_not_accept_what_cannot_be_printed(self, print_folder: Path, shop: Run) -> None:
        (print_folder / "inbox/menu.docx").write_bytes(b"words")
        shop("once")
        code, _, err = shop("retry", "menu", "--anyway")
        assert code == 2
        assert "menu.docx" in err

    def test_of_an_unknown_order_names_those_that_are_held(self, print_folder: Path, shop: Run) -> None:
        (print_folder / "inbox/menu.docx").write_bytes(b"words")
        shop("once")
        code, _, err = shop("retry", "nemu")
        assert code == 2
        assert "Held are: menu." in err

    @pytest.mark.parametrize("name", ["../inbox", ".", "..", "/etc"])
    def test_leaves_its_place_for_no_name(self, shop: Run, name: str) -> None:
        shop("once")
        assert shop("retry", name)[0] == 2


class TestCheck:
    def test_shows_what_each_card_comes_to(self, shop: Run) -> None:
        code, out, _ = shop("check")
        assert code == 0
        assert "2 on a sheet of 215.9 x 279.4 mm: all turned a quarter" in out
        assert "9 on a sheet of 210 x 297 mm" in out

    def test_says_that_state_must_be_outside_a_synced_folder(self, shop: Run) -> None:
        assert "synced" in shop("check")[1]

    def test_of_art_says_what_would_be_said(
        self, print_folder: Path, tmp_path: Path, shop: Run, drop_pair: Callable
    ) -> None:
        drop_pair(tmp_path / "art", size=(158, 218))
        code, out, _ = shop("check", *sorted((tmp_path / "art").iterdir()))
        assert code == 1
        assert "hold: " in out
        assert not (print_folder / "outbox").exists()

    def test_of_good_art_is_well(self, tmp_path: Path, shop: Run, draw_card: Callable) -> None:
        draw_card(tmp_path / "art/night.png", (258, 173))
        assert shop("check", tmp_path / "art/night.png", "--card", "tag")[0] == 0

    def test_of_a_file_that_is_not_there_is_wrong_usage(self, tmp_path: Path, shop: Run) -> None:
        assert shop("check", tmp_path / "nothing.png")[0] == 2


def test_help_loads_no_library_that_it_does_not_need() -> None:
    """`--help` must come at once: what reads art, draws or checks settings is imported by the commands that do so."""
    heavy = ("numpy", "PIL", "pydantic", "reportlab", "pypdf", "pypdfium2", "rich", "sqlite3", "loguru", "distributed")
    code = f"import sys, watcher.commands.app; print([one for one in {heavy!r} if one in sys.modules])"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"
