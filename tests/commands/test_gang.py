"""`print-folder gang`: a look changes nothing, and `--now` is left to the service where one is at work."""

from contextlib import nullcontext

import pytest
import typer

from watcher.commands import at_work
from watcher.commands.gang import gang
from watcher.commands.gang_report import NOTHING
from watcher.errors import ExitCode
from watcher.service.life.gang_runs import WORD
from watcher.service.lock import take_lock


@pytest.fixture
def state(print_folder, monkeypatch):
    (print_folder / "state").mkdir()
    monkeypatch.setattr(at_work, "work_once", lambda _: ExitCode.HELD)
    return print_folder / "state"


@pytest.mark.parametrize("at_work_now", [True, False])
def test_a_look_leaves_no_word_and_makes_nothing(state, print_folder, capsys, at_work_now):
    with take_lock(state) if at_work_now else nullcontext():
        gang(settings=print_folder / "settings.toml")
    assert capsys.readouterr().out == f"{NOTHING}\n"
    assert not (state / WORD).exists()


def test_now_leaves_word_for_the_service_that_is_at_work(state, print_folder, capsys):
    with take_lock(state), pytest.raises(typer.Exit) as ended:
        gang(now=True, settings=print_folder / "settings.toml")
    assert ended.value.exit_code == ExitCode.WELL
    assert (state / WORD).exists()
    assert capsys.readouterr().out.endswith("makes them at its next look.\n")


def test_now_is_done_at_once_where_no_service_is(state, print_folder):
    with pytest.raises(typer.Exit) as ended:
        gang(now=True, settings=print_folder / "settings.toml")
    assert ended.value.exit_code == ExitCode.HELD
    assert not (state / WORD).exists()
