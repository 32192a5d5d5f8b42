"""One round of work for a command: its exit code, and that a service at work is left to it."""

from types import SimpleNamespace

import pytest

from watcher.commands import at_work
from watcher.errors import ExitCode
from watcher.service.lock import take_lock
from watcher.service.loop import Service
from watcher.settings.load import load_settings


@pytest.fixture
def settings(print_folder, inline_workers, monkeypatch):
    """Settings of an empty print folder; no signal is minded, as the tests run in one process."""
    monkeypatch.setattr(Service, "mind_signals", lambda _: None)
    return load_settings(print_folder / "settings.toml")


@pytest.fixture
def came_to(settings, monkeypatch):
    """The exit code of a round of work that came to this."""

    def code(*, held=0, waiting=(), trouble=None, paused=None):
        service = SimpleNamespace(
            mind_signals=lambda: None, start=lambda: None, run=lambda: None, came_to=lambda: iter(()), trouble=trouble,
            making=SimpleNamespace(held=held, paused=paused), looked=SimpleNamespace(waiting=waiting),
        )  # fmt: skip
        monkeypatch.setattr(at_work, "service_for", lambda *_, **__: service)
        return at_work.work_once(settings)

    return code


def test_an_empty_inbox_is_well(settings, capsys):
    assert at_work.work_once(settings) is ExitCode.WELL
    assert capsys.readouterr().out == "0 made, 0 held, 0 waiting.\n"


def test_a_front_without_its_back_is_told(settings, draw_card, capsys):
    draw_card(settings.folders.inbox / "lantern_front.png")
    assert at_work.work_once(settings) is ExitCode.HELD
    assert "lantern" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("what", "code"),
    [
        ({}, ExitCode.WELL),
        ({"held": 1}, ExitCode.HELD),
        ({"waiting": ("a back",)}, ExitCode.HELD),
        ({"held": 1, "trouble": "no inbox"}, ExitCode.CANNOT_RUN),
        ({"held": 1, "paused": "disk full"}, ExitCode.CANNOT_RUN),
    ],
)
def test_what_stops_the_work_outranks_what_is_held(came_to, what, code):
    assert came_to(**what) is code


def test_work_is_left_to_the_service_only_while_one_is_at_work(settings, monkeypatch, capsys):
    settings.folders.state.mkdir()
    monkeypatch.setattr(at_work, "work_once", lambda _: ExitCode.HELD)
    with take_lock(settings.folders.state):
        assert at_work.leave_or_make(settings, "it is taken up") is ExitCode.WELL
    assert at_work.leave_or_make(settings, "it is taken up") is ExitCode.HELD
    assert capsys.readouterr().out == "it is taken up\n"
