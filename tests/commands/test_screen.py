"""Output for a pipe and for machines; a terminal is tested by each command that shows tables."""

import json

import pytest

from watcher.commands.screen import tell


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
