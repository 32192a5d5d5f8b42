"""The shop's own command: started as it is written, watched, ended, and never waited for while cards are made."""

import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from loguru import logger

from watcher.outbox import finished
from watcher.outbox.finished import FinishedCommands

PYTHON = sys.executable
SLEEP = (PYTHON, "-c", "import time; time.sleep(60)")


@pytest.fixture
def said():
    """What was written to the service's log."""
    lines: list[str] = []
    handler = logger.add(lines.append, format="{level} {message}")
    yield lines
    logger.remove(handler)


@pytest.fixture
def commands():
    """The commands of a test, all of them ended after it."""
    made = FinishedCommands()
    yield made
    for process, _, _ in made._running:
        process.kill()
        process.wait()


@pytest.fixture
def no_patience(monkeypatch):
    monkeypatch.setattr(finished, "LIMIT_S", 0.2)


def _soon(condition: Callable[[], object]) -> None:
    end = time.monotonic() + 20
    while not condition():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.01)


def _writes_its_words(to: Path) -> tuple[str, ...]:
    return (PYTHON, "-c", "import sys; open(sys.argv[1], 'w').write('|'.join(sys.argv[2:]))", str(to))


def test_each_sheet_file_becomes_one_argument(commands, tmp_path):
    sheets = [tmp_path / "a b_1-fronts.pdf", tmp_path / "a b_2-backs.pdf"]
    commands.start([*_writes_its_words(tmp_path / "words"), "-n", "{sheets}", "end"], sheets, "a b")
    commands.finish(finished.LIMIT_S)
    assert (tmp_path / "words").read_text() == f"-n|{sheets[0]}|{sheets[1]}|end"


def test_no_shell_reads_the_words(commands, tmp_path):
    words = ["$HOME", "`id`", "; rm -rf x", "*", "x{sheets}", "a\nb"]
    commands.start([*_writes_its_words(tmp_path / "words"), *words], [tmp_path / "$(id).pdf"], "a")
    commands.finish(finished.LIMIT_S)
    assert (tmp_path / "words").read_text() == "|".join(words)


def test_without_a_command_nothing_happens(commands, said):
    commands.start([], [Path("a.pdf")], "a")
    assert not commands.under_way
    assert said == []


def test_a_command_that_does_well_is_not_spoken_of(commands, said):
    commands.start([PYTHON, "-c", ""], [], "a")
    commands.finish(finished.LIMIT_S)
    assert said == []


def test_one_that_fails_is_logged_with_its_code(commands, said):
    commands.start([PYTHON, "-c", "raise SystemExit(3)"], [], "spring\nmenu")
    commands.finish(finished.LIMIT_S)
    assert said == ["WARNING on_finished for spring\\nmenu ended with code 3\n"]


@pytest.mark.parametrize("command", [["/nowhere/at/all"], ["a\0b"], ["."]])
def test_one_that_cannot_be_started_is_logged(commands, said, command):
    commands.start(command, [], "a")
    assert not commands.under_way
    assert said[0].startswith("WARNING on_finished for a could not be started: ")


def test_starting_one_waits_for_nothing(commands):
    start = time.monotonic()
    commands.start(SLEEP, [], "a")
    commands.look()
    assert commands.under_way
    assert time.monotonic() - start < 5


def test_one_that_takes_too_long_is_ended(commands, said, no_patience):
    commands.start(SLEEP, [], "a")
    pid = commands._running[0][0].pid
    commands.finish(finished.LIMIT_S)
    assert said == ["WARNING on_finished for a took longer than 0 s and was ended\n"]
    assert not commands.under_way
    with pytest.raises(ProcessLookupError):  # not even a zombie
        os.kill(pid, 0)


def test_what_it_started_is_ended_with_it(commands, no_patience, monkeypatch, tmp_path):
    """A script's own children would go on else."""
    monkeypatch.setattr(finished, "LIMIT_S", 60.0)
    script = f"import subprocess, sys, time\nchild = subprocess.Popen({list(SLEEP)!r})\n"
    script += f"open({str(tmp_path / 'pid.new')!r}, 'w').write(str(child.pid))\n"
    script += f"import os; os.rename({str(tmp_path / 'pid.new')!r}, {str(tmp_path / 'pid')!r})\ntime.sleep(60)"
    commands.start([PYTHON, "-c", script], [], "a")
    _soon((tmp_path / "pid").exists)
    process, _, order = commands._running[0]
    commands._running[0] = (process, time.monotonic() - 1, order)
    commands.look()
    pid = int((tmp_path / "pid").read_text())
    _soon(lambda: _is_gone(pid))


def _is_gone(pid: int) -> bool:
    """Gone, or waiting to be collected by whoever collects orphans."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except FileNotFoundError:
        return True


def test_one_that_has_ended_leaves_no_zombie(commands):
    commands.start([PYTHON, "-c", ""], [], "a")
    pid = commands._running[0][0].pid
    _soon(lambda: (commands.look(), not commands.under_way)[1])
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


def test_it_gets_no_keys_and_writes_nothing_among_our_lines(commands, capfd):
    script = "import sys; print('out'); print('err', file=sys.stderr); sys.exit(len(sys.stdin.read()))"
    commands.start([PYTHON, "-c", script], [], "a")
    commands.finish(finished.LIMIT_S)
    assert capfd.readouterr() == ("", "")


def test_of_many_a_few_run_at_once_and_all_in_the_end(commands, tmp_path):
    script = "import os, sys, time; open(os.path.join(sys.argv[1], str(os.getpid())), 'w').close(); time.sleep(60)"
    orders = [f"order{number}" for number in range(finished.MOST_AT_ONCE + 3)]
    for order in orders:
        commands.start([PYTHON, "-c", script, str(tmp_path)], [], order)
    seen: set[str] = set()

    def all_seen() -> bool:
        assert len(commands._running) <= finished.MOST_AT_ONCE
        for process, _, order in commands._running:
            if (tmp_path / str(process.pid)).exists():
                seen.add(order)
                process.kill()
        commands.look()
        return seen == set(orders)

    _soon(all_seen)


def test_what_waits_when_the_service_stops_is_told(commands, said):
    for number in range(finished.MOST_AT_ONCE + 1):
        commands.start(SLEEP, [], f"order{number}")
    commands.finish(0.1)
    assert f"WARNING on_finished for order{finished.MOST_AT_ONCE} was not started: the service stops\n" in said
    assert not commands.under_way


def test_what_has_not_ended_when_the_wait_is_over_is_ended(commands, said):
    commands.start(SLEEP, [], "a")
    pid = commands._running[0][0].pid
    commands.finish(0.1)
    assert said == ["WARNING on_finished for a had not come to its end when the service stopped, and was ended\n"]
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


def test_ctrl_c_at_the_service_does_not_reach_it(commands):
    """It has a session of its own: the terminal signals the service's group alone."""
    commands.start(SLEEP, [], "a")
    pid = commands._running[0][0].pid
    assert os.getpgid(pid) == pid != os.getpgrp()
    os.kill(pid, signal.SIGKILL)
    commands.finish(finished.LIMIT_S)
