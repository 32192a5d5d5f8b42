"""The shop's own command: started as it is written, watched, ended, and never waited for while cards are made."""

import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from loguru import logger

from watcher.archive.ticket_file import PrintFile
from watcher.outbox import finished
from watcher.outbox.finished import Delivered, FinishedCommands, calls_for

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
    for one in made._running:
        one.process.kill()
        one.process.wait()


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


def _delivered(folder: Path, *names: str, copies: int = 1, sides: str = "one-sided") -> Delivered:
    """An order whose sheets lie there."""
    folder.mkdir(exist_ok=True)
    for name in names:
        (folder / name).touch()
    files = [PrintFile(file=name, copies=copies, sides=sides, media="na_letter_8.5x11in") for name in names]
    return Delivered(folder=folder, ticket=folder.parent / "archive" / "a_ticket.toml", files=files)


# -- the words ---------------------------------------------------------------------------------------------------------


def test_a_right_print_line_is_told_all_that_it_needs(tmp_path):
    """The words of lp(1); the values as RFC 8011 5.2.8 (sides) and PWG 5101.1 (media) name them."""
    line = ["lp", "-n", "{copies}", "-o", "sides={sides}", "-o", "media={media}", "-t", "{order}", "{sheets}"]
    order = _delivered(tmp_path / "a b", "a b_sheets.pdf", copies=12, sides="two-sided-long-edge")
    assert calls_for(line, order) == [
        [
            *("lp", "-n", "12", "-o", "sides=two-sided-long-edge", "-o", "media=na_letter_8.5x11in", "-t", "a b"),
            str(tmp_path / "a b/a b_sheets.pdf"),
        ]
    ]


@pytest.mark.parametrize("asked", ["{sheets}", "{copies}", "x{sides}", "{media}"])
def test_where_there_are_two_files_there_is_a_call_for_each(tmp_path, asked):
    order = _delivered(tmp_path / "a", "a_1-fronts.pdf", "a_2-backs.pdf")
    assert len(calls_for(["lp", asked], order)) == 2


@pytest.mark.parametrize("asked", [[], ["{order}"], ["{ticket}"]])
def test_what_is_not_told_of_files_is_called_once_for_an_order(tmp_path, asked):
    order = _delivered(tmp_path / "a", "a_1-fronts.pdf", "a_2-backs.pdf")
    assert len(calls_for(["bell", *asked], order)) == 1


def test_sheets_that_were_collected_already_are_not_told_of_by_name(tmp_path):
    order = _delivered(tmp_path / "a", "a_sheets.pdf")
    (tmp_path / "a/a_sheets.pdf").unlink()
    assert calls_for(["lp", "{sheets}"], order) == []
    assert calls_for(["bell", "{order}"], order) == [["bell", "a"]]


def test_the_name_of_an_order_is_never_looked_through_for_placeholders(tmp_path):
    order = _delivered(tmp_path / "{copies}", "{sides}_sheets.pdf", copies=7)
    assert calls_for(["x", "{order}={sheets}"], order) == [
        ["x", f"{{copies}}={tmp_path}/{{copies}}/{{sides}}_sheets.pdf"]
    ]


# -- the calls ---------------------------------------------------------------------------------------------------------


def test_no_shell_reads_the_words(commands, tmp_path):
    words = ["$HOME", "`id`", "; rm -rf x", "*", "x$(id)", "a\nb"]
    commands.start([[*_writes_its_words(tmp_path / "words"), *words]], "a")
    commands.finish(finished.LIMIT_S)
    assert (tmp_path / "words").read_text() == "|".join(words)


def test_backs_are_handed_on_when_the_call_for_the_fronts_has_ended(commands, tmp_path):
    """Else a queue could have the backs first."""
    script = "import sys, time; time.sleep(float(sys.argv[2])); print(sys.argv[3], file=open(sys.argv[1], 'a'))"
    calls = [[PYTHON, "-c", script, str(tmp_path / "told"), wait, word] for wait, word in (("0.3", "1"), ("0", "2"))]
    commands.start(calls, "a")
    commands.finish(finished.LIMIT_S)
    assert (tmp_path / "told").read_text().split() == ["1", "2"]


def test_backs_of_fronts_that_were_not_printed_are_not_handed_on(commands, said, tmp_path):
    ended: list[int] = []
    calls = [[PYTHON, "-c", "raise SystemExit(3)"], [*_writes_its_words(tmp_path / "words")]]
    commands.start(calls, "a", lambda: ended.append(1))
    commands.finish(finished.LIMIT_S)
    assert not (tmp_path / "words").exists()
    assert said == ["WARNING on_finished for a ended with code 3; 1 more of its files were not handed on\n"]
    assert ended == [1]


def test_the_end_is_said_once_when_all_calls_have_ended(commands):
    ended: list[int] = []
    commands.start([[PYTHON, "-c", ""], [PYTHON, "-c", ""]], "a", lambda: ended.append(1))
    assert ended == []
    commands.finish(finished.LIMIT_S)
    assert ended == [1]


def test_the_end_of_one_that_was_cut_short_by_a_stop_is_not_said(commands):
    ended: list[int] = []
    for number in range(finished.MOST_AT_ONCE + 1):
        commands.start([SLEEP], f"order{number}", lambda: ended.append(1))
    commands.finish(0.1)
    assert ended == []


def test_a_command_that_does_well_is_not_spoken_of(commands, said):
    commands.start([[PYTHON, "-c", ""]], "a")
    commands.finish(finished.LIMIT_S)
    assert said == []


def test_one_that_fails_is_logged_with_its_code(commands, said):
    commands.start([[PYTHON, "-c", "raise SystemExit(3)"]], "spring\nmenu")
    commands.finish(finished.LIMIT_S)
    assert said == ["WARNING on_finished for spring\\nmenu ended with code 3\n"]


@pytest.mark.parametrize("command", [["/nowhere/at/all"], ["a\0b"], ["."]])
def test_one_that_cannot_be_started_is_logged(commands, said, command):
    commands.start([command], "a")
    assert not commands.under_way
    assert said[0].startswith("WARNING on_finished for a could not be started: ")


def test_starting_one_waits_for_nothing(commands):
    start = time.monotonic()
    commands.start([SLEEP], "a")
    commands.poll()
    assert commands.under_way
    assert time.monotonic() - start < 5


def test_one_that_takes_too_long_is_ended(commands, said, no_patience):
    commands.start([SLEEP], "a")
    pid = commands._running[0].process.pid
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
    commands.start([[PYTHON, "-c", script]], "a")
    _soon((tmp_path / "pid").exists)
    commands._running[0].deadline = time.monotonic() - 1
    commands.poll()
    pid = int((tmp_path / "pid").read_text())
    _soon(lambda: _is_gone(pid))


def _is_gone(pid: int) -> bool:
    """Gone, or waiting to be collected by whoever collects orphans."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except FileNotFoundError:
        return True


def test_one_that_has_ended_leaves_no_zombie(commands):
    commands.start([[PYTHON, "-c", ""]], "a")
    pid = commands._running[0].process.pid
    _soon(lambda: (commands.poll(), not commands.under_way)[1])
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


def test_it_gets_no_keys_and_writes_nothing_among_our_lines(commands, capfd):
    script = "import sys; print('out'); print('err', file=sys.stderr); sys.exit(len(sys.stdin.read()))"
    commands.start([[PYTHON, "-c", script]], "a")
    commands.finish(finished.LIMIT_S)
    assert capfd.readouterr() == ("", "")


def test_of_many_a_few_run_at_once_and_all_in_the_end(commands, tmp_path):
    script = "import os, sys, time; open(os.path.join(sys.argv[1], str(os.getpid())), 'w').close(); time.sleep(60)"
    orders = [f"order{number}" for number in range(finished.MOST_AT_ONCE + 3)]
    for order in orders:
        commands.start([[PYTHON, "-c", script, str(tmp_path)]], order)
    seen: set[str] = set()

    def all_seen() -> bool:
        assert len(commands._running) <= finished.MOST_AT_ONCE
        for one in commands._running:
            if (tmp_path / str(one.process.pid)).exists():
                seen.add(one.order.name)
                one.process.kill()
        commands.poll()
        return seen == set(orders)

    _soon(all_seen)


def test_what_waits_when_the_service_stops_is_told(commands, said):
    for number in range(finished.MOST_AT_ONCE + 1):
        commands.start([SLEEP], f"order{number}")
    commands.finish(0.1)
    assert (
        f"WARNING on_finished for order{finished.MOST_AT_ONCE} was not started: the program stops;"
        " it is called when it starts again\n"
    ) in said
    assert not commands.under_way


def test_what_has_not_ended_when_the_wait_is_over_is_ended(commands, said):
    commands.start([SLEEP], "a")
    pid = commands._running[0].process.pid
    commands.finish(0.1)
    assert said == [
        "WARNING on_finished for a had not come to its end when the program stopped, and was ended;"
        " it is called again\n"
    ]
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


def test_ctrl_c_at_the_service_does_not_reach_it(commands):
    """It has a session of its own: the terminal signals the service's group alone."""
    commands.start([SLEEP], "a")
    pid = commands._running[0].process.pid
    assert os.getpgid(pid) == pid != os.getpgrp()
    os.kill(pid, signal.SIGKILL)
    commands.finish(finished.LIMIT_S)
