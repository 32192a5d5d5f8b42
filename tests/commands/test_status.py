"""`print-folder status`: the exit code says whether somebody is needed, and looking changes nothing."""

import json

import pytest
import typer

from watcher.commands.status import status
from watcher.errors import ExitCode


@pytest.fixture
def look(print_folder, capsys):
    """The exit code of a look, and what it wrote."""

    def call(**options):
        with pytest.raises(typer.Exit) as ended:
            status(settings=print_folder / "settings.toml", **options)
        return ended.value.exit_code, capsys.readouterr().out

    return call


def test_an_empty_folder_needs_nobody_and_stays_as_it_is(look, print_folder):
    before = sorted(print_folder.rglob("*"))
    assert look()[0] == ExitCode.WELL
    assert sorted(print_folder.rglob("*")) == before


def test_what_is_held_needs_somebody(look, print_folder):
    (print_folder / "held/menu").mkdir(parents=True)
    code, shown = look()
    assert code == ExitCode.HELD
    assert "menu" in shown


def test_what_waits_needs_somebody_and_machines_are_given_the_same(look, print_folder, draw_card):
    draw_card(print_folder / "inbox/lantern_front.png")
    (code, lines), (same, told) = look(), look(as_json=True)
    assert (code, same) == (ExitCode.HELD, ExitCode.HELD)
    assert "lantern" in lines
    assert len(json.loads(told)["waiting"]) == 1
