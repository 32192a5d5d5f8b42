"""Which settings a command works with."""

from pathlib import Path

import pytest

from watcher.commands.settings_file import load
from watcher.errors import WrongUsage


@pytest.fixture
def nowhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Stand in an empty folder, with an empty home."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    return tmp_path


def test_a_path_that_was_given_is_read(nowhere: Path, print_folder: Path) -> None:
    assert load(print_folder / "settings.toml").folder == print_folder


def test_without_a_path_the_current_folder_comes_before_the_home(
    nowhere: Path, print_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home = nowhere / "home/print-folder"
    home.mkdir(parents=True)
    text = (print_folder / "settings.toml").read_text()
    (home / "settings.toml").write_text(text)
    assert load(None).path.resolve() == (home / "settings.toml").resolve()
    monkeypatch.chdir(print_folder)
    assert load(None).path.resolve() == (print_folder / "settings.toml").resolve()


def test_none_anywhere_is_said_with_the_way_out(nowhere: Path) -> None:
    with pytest.raises(WrongUsage, match="Make a print folder with: print-folder init DIR"):
        load(None)
