"""`print-folder status` from outside: what a pipe, a terminal and a machine are given."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from watcher.commands.app import main

COMMAND = [sys.executable, "-m", "watcher", "status", "--settings"]
HERE = Path(__file__).parent.parent.parent


@pytest.fixture
def odd_folder(print_folder: Path) -> Path:
    """A print folder with something held that has a name of every kind of sign."""
    (print_folder / "held" / "\u00e9t\u00e9 \u2603 \x1b[31m").mkdir(parents=True)
    return print_folder


def _run(folder: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    words = (*COMMAND, str(folder / "settings.toml"), *words)
    return subprocess.run(words, cwd=HERE, capture_output=True, env=os.environ | environment, check=False)


def test_a_pipe_is_given_plain_lines(odd_folder: Path) -> None:
    shown = _run(odd_folder, FORCE_COLOR="1")
    text = shown.stdout.decode("utf-8")
    assert shown.returncode == 1
    assert "  \u00e9t\u00e9 \u2603 \\x1b[31m: " in text
    assert not set(text) & set("\x1b\u2500\u2502\u250c\u2501")


def test_a_pipe_of_another_encoding_is_given_the_same(odd_folder: Path) -> None:
    shown = _run(odd_folder, PYTHONIOENCODING="ascii")
    assert shown.returncode == 1
    assert rb"\xe9t\xe9 \u2603" in shown.stdout


def test_a_machine_is_given_json(odd_folder: Path) -> None:
    shown = _run(odd_folder, "--json")
    assert shown.returncode == 1
    assert json.loads(shown.stdout)["held"][0]["folder"] == "\u00e9t\u00e9 \u2603 \x1b[31m"


def test_nothing_to_do_is_well(print_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.argv", ["print-folder", "status", "--settings", str(print_folder / "settings.toml")])
    with pytest.raises(SystemExit) as ended:
        main()
    assert not ended.value.code


@pytest.mark.skipif(os.name != "posix", reason="no pseudo terminals here")
def test_a_terminal_is_given_tables(odd_folder: Path) -> None:
    ours, theirs = os.openpty()
    words = [*COMMAND, str(odd_folder / "settings.toml")]
    environment = os.environ | {"TERM": "xterm", "COLUMNS": "90", "PYTHONUTF8": "1"}
    process = subprocess.Popen(words, cwd=HERE, stdout=theirs, stderr=theirs, env=environment)
    os.close(theirs)
    shown = b""
    try:
        while piece := os.read(ours, 65536):
            shown += piece
    except OSError:  # Linux says so when the other end is closed
        pass
    os.close(ours)
    assert process.wait(20) == 1
    text = shown.decode("utf-8")
    assert "\u2500" * 20 in text
    assert "\x1b[31m" not in text
