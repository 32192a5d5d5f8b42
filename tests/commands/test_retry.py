"""`print-folder retry` puts a held order back into the inbox, accepted only where that can mend it."""

from dataclasses import replace

import pytest
import typer

from watcher.commands import at_work
from watcher.commands.retry import retry
from watcher.errors import ExitCode, WrongUsage
from watcher.orders.held_note import FILE_NAME, HeldNote, to_toml
from watcher.service.lock import take_lock

NOTE = HeldNote(
    order="menu", key="menu", card="tag", inbox_folder="", folder="menu", missing="", soft=True,
    since="2026-11-25T14:05:00+01:00", why="It is too small.", files=(),
)  # fmt: skip


@pytest.fixture
def shop(print_folder):
    """A print folder in which one order is held."""
    (print_folder / "state").mkdir()
    (print_folder / "held/menu").mkdir(parents=True)
    (print_folder / "held/menu" / FILE_NAME).write_bytes(to_toml(NOTE))
    return print_folder


@pytest.mark.parametrize(("anyway", "name"), [(False, "menu"), (True, "menu ok")])
def test_the_folder_goes_back_and_its_name_says_whether_it_is_accepted(shop, capsys, anyway, name):
    with take_lock(shop / "state"), pytest.raises(typer.Exit) as ended:
        retry("menu", anyway=anyway, settings=shop / "settings.toml")
    assert ended.value.exit_code == ExitCode.WELL
    assert (shop / "inbox" / name / FILE_NAME).exists()
    assert not (shop / "held/menu").exists()
    assert capsys.readouterr().out.startswith(f"{name} is back in the inbox;")


def test_it_is_made_at_once_where_no_service_is_at_work(shop, monkeypatch):
    monkeypatch.setattr(at_work, "work_once", lambda settings: len(list(settings.folders.inbox.iterdir())))
    with pytest.raises(typer.Exit) as ended:
        retry("menu", settings=shop / "settings.toml")
    assert ended.value.exit_code == 1


def test_what_acceptance_cannot_mend_stays_held(shop):
    (shop / "held/menu" / FILE_NAME).write_bytes(to_toml(replace(NOTE, soft=False)))
    with pytest.raises(WrongUsage, match="menu cannot be printed as it is: It is too small"):
        retry("menu", anyway=True, settings=shop / "settings.toml")
    assert (shop / "held/menu").is_dir()


@pytest.mark.parametrize("name", ["menue", "../held/menu"])
def test_what_is_not_held_is_refused_with_what_is(shop, name):
    with pytest.raises(WrongUsage, match=r"There is no held order .*Held are: menu\."):
        retry(name, settings=shop / "settings.toml")
