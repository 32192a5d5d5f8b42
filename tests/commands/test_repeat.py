"""`print-folder repeat` drops a job ticket that says what was asked for, and none that would be refused."""

import tomllib
from types import SimpleNamespace

import pytest
import typer

from watcher.commands.repeat import ask_again, repeat
from watcher.errors import ExitCode, WrongUsage
from watcher.orders.model import Repeat
from watcher.orders.wishes import Wishes
from watcher.service.lock import take_lock


@pytest.fixture
def archived(monkeypatch):
    """An archive that knows every name, whatever its case."""
    monkeypatch.setattr("watcher.archive.find.find_archived", lambda name, _: SimpleNamespace(folder=name.casefold()))


@pytest.fixture
def ask(print_folder):
    def call(asked, **wishes):
        folders = {"archive": print_folder / "archive", "inbox": print_folder / "inbox"}
        return ask_again(asked, Wishes(**wishes), **folders)

    return call


def tickets(print_folder):
    return [tomllib.loads(file.read_text()) for file in (print_folder / "inbox").iterdir()]


@pytest.mark.parametrize(
    ("asked", "wishes", "ticket"),
    [
        ({}, {}, {}),
        ({}, {"quantity": 4, "only": (2, 5)}, {"quantity": 4, "only": [2, 5]}),
        ({"sheets_only": 3, "as_before": True}, {}, {"sheets_only": 3, "as_before": True}),
    ],
)
def test_the_ticket_says_what_was_asked_for_and_no_more(archived, ask, print_folder, asked, wishes, ticket):
    ask(Repeat(order="lantern", **asked), **wishes)
    assert tickets(print_folder) == [{"repeat": "lantern"} | ticket]


def test_what_excludes_each_other_is_refused_and_nothing_is_dropped(archived, ask, print_folder):
    with pytest.raises(WrongUsage, match="sheets_only and quantity exclude each other"):
        ask(Repeat(order="lantern", sheets_only=3), quantity=4)
    assert tickets(print_folder) == []


def test_what_is_not_in_the_archive_is_refused_and_nothing_is_dropped(ask, print_folder):
    with pytest.raises(WrongUsage, match="There is no order lantren in the archive"):
        ask(Repeat(order="lantren"))
    assert tickets(print_folder) == []


def test_two_tickets_lie_beside_each_other(archived, ask, print_folder):
    ask(Repeat(order="lantern"))
    ask(Repeat(order="lantern"))
    assert len(tickets(print_folder)) == 2


def test_the_command_says_which_order_it_found(archived, print_folder, capsys):
    (print_folder / "state").mkdir()
    with take_lock(print_folder / "state"), pytest.raises(typer.Exit) as ended:
        repeat("Lantern", quantity=4, only=[2], settings=print_folder / "settings.toml")
    assert ended.value.exit_code == ExitCode.WELL
    assert capsys.readouterr().out == "lantern is asked for again; the program that is running makes it.\n"
    assert tickets(print_folder) == [{"repeat": "Lantern", "quantity": 4, "only": [2]}]
