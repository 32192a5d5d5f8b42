"""Output for a pipe and for machines; a terminal is tested by each command that shows tables."""

import json

import pytest

from watcher.commands.screen import ReadingShown, tell


@pytest.fixture
def told(capsys):
    def call(*, as_json):
        tell(as_json=as_json, machines=lambda: {"orders": 2}, lines=lambda: iter(["one", "two"]), tables=pytest.fail)
        return capsys.readouterr().out

    return call


def test_a_pipe_is_given_lines(told):
    assert told(as_json=False) == "one\ntwo\n"


def test_machines_are_given_json(told):
    assert json.loads(told(as_json=True)) == {"orders": 2}


@pytest.fixture
def clock(monkeypatch):
    """The steady clock of the screen; a test sets it."""
    now = [0.0]
    monkeypatch.setattr("watcher.commands.screen.time.monotonic", lambda: now[0])
    return now


def test_a_short_reading_is_not_worth_a_word(clock, capsys):
    with ReadingShown() as shown:
        clock[0] = 0.9
        shown(25, 50)
    assert capsys.readouterr().err == ""


def test_a_long_reading_says_once_in_a_pipe_that_it_takes_a_while(clock, capsys):
    with ReadingShown() as shown:
        for done in (25, 500, 20_000):
            clock[0] += 2
            shown(done, 20_000)
    assert capsys.readouterr().err == "Reading the archive, which takes a while this first time: 25 of 20,000 orders.\n"


def test_on_a_terminal_it_says_how_far_it_is_in_one_line(clock, capsys, monkeypatch):
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    with ReadingShown() as shown:
        for done in (25, 500):
            clock[0] += 2
            shown(done, 20_000)
    said = capsys.readouterr().err
    assert [line.endswith("orders.") for line in said.lstrip("\r").rstrip("\n").split("\r")] == [True, True]
    assert "500 of 20,000" in said
    assert said.count("\n") == 1
