"""An enemy who can write to the synced print folder, and to nothing else, gets nothing run and nothing moved out of it.

He knows this program. He does not have the secret, which lies in the configuration folder of the person.
"""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.commands.at_work import service_for
from watcher.records.journal import Entry, open_journal
from watcher.records.order_life import State
from watcher.service.loop import Service
from watcher.settings.load import load_settings
from watcher.settings.secret import secret_file, signature
from watcher.settings.trusted import FILE_NAME, NotTrusted

Drop = Callable[..., None]
Yes = Callable[[Path], None]
Once = Callable[[Path], Service]


@pytest.fixture
def ran(print_folder: Path) -> Path:
    """What his command would leave."""
    return print_folder.parent / "ran"


@pytest.fixture
def owners(print_folder: Path, say_yes: Yes, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A print folder whose own command has a yes, kept outside of it."""
    monkeypatch.setattr("watcher.work.make_order.write_instructions", lambda *_: b"%PDF-1.6\n%%EOF\n")
    file = print_folder / "settings.toml"
    state = print_folder.parent / "notes"
    command = f'on_finished = ["touch", "{print_folder.parent}/owners"]'
    file.write_text(f'[folders]\nstate = "{state}"\n{file.read_text()}'.replace("[service]", f"[service]\n{command}"))
    say_yes(print_folder)
    return print_folder


def change(folder: Path, old: str, new: str) -> None:
    file = folder / "settings.toml"
    assert old in file.read_text()
    file.write_text(file.read_text().replace(old, new))


def attack(folder: Path, ran: Path) -> None:
    change(folder, f'"{folder.parent}/owners"', f'"{ran}"')


def test_the_owners_command_runs(owners: Path, ran: Path, once: Once, drop_pair: Drop) -> None:
    drop_pair(owners / "inbox")
    once(owners)
    assert (owners.parent / "owners").exists()


def test_a_changed_command_is_not_run_and_the_order_is_finished_all_the_same(
    owners: Path, ran: Path, once: Once, drop_pair: Drop
) -> None:
    attack(owners, ran)
    drop_pair(owners / "inbox")
    service = once(owners)
    assert (service.making.made, ran.exists()) == (1, False)
    assert not list((owners / "archive").glob(".taking*"))
    log = (owners / "outbox/log.txt").read_text()
    assert "The command after each order is not run: touch …/ran. It is new or was changed" in log
    assert "lantern: the command was not run for it" in log
    page = (owners / "outbox/status.html").read_text()
    assert "touch …/ran" in page
    assert "print-folder trust" in page


def test_a_command_that_is_changed_while_the_service_is_at_work_is_not_run_until_there_is_a_yes(
    owners: Path, ran: Path, inline_workers: None, drop_pair: Drop, say_yes: Yes
) -> None:
    service = service_for(load_settings(owners / "settings.toml"), once=False, to_screen=False)
    service.start()
    try:
        attack(owners, ran)
        drop_pair(owners / "inbox")
        for now in range(20):
            service.step(now * 100.0)
        assert (service.making.made, ran.exists()) == (1, False)
        say_yes(owners)
        drop_pair(owners / "inbox", "second")
        for now in range(20, 40):
            service.step(now * 100.0)
        service.making.commands.finish(60.0)
        assert ran.exists()
    finally:
        service.stop()


def forged(folder: Path, state: Path) -> None:
    """Put a yes of his own for the present command into `state`, signed with secrets that he can think of."""
    state.mkdir(exist_ok=True)
    command = json.dumps(load_settings(folder / "settings.toml").service.on_finished)
    message = json.dumps([str(folder.resolve()), "service.on_finished", command])
    hashes = [signature(secret, message) for secret in (b"", bytes(32), b"print-folder")]
    (state / FILE_NAME).write_text(f"[yes]\n'service.on_finished' = {hashes}\n'folders.state' = {hashes}\n")


@pytest.mark.parametrize("way", ["named", "linked", "the usual one"])
def test_a_state_of_his_own_with_forged_hashes_is_worth_nothing(
    owners: Path, ran: Path, once: Once, drop_pair: Drop, way: str
) -> None:
    attack(owners, ran)
    old = f'state = "{owners.parent}/notes"'
    if way == "named":
        change(owners, old, 'state = "his"')
        forged(owners, owners / "his")
    else:
        change(owners, old, "")
        forged(owners, owners / "his")
        (owners / "his").rename(owners / "state")
        if way == "linked":
            (owners / "state").rename(owners / "his")
            (owners / "state").symlink_to(owners / "his")
    drop_pair(owners / "inbox")
    assert once(owners).making.made == 1
    assert not ran.exists()


def test_a_state_linked_out_of_the_folder_keeps_the_service_from_its_start(owners: Path, ran: Path, once: Once) -> None:
    change(owners, f'state = "{owners.parent}/notes"', "")
    (owners / "state").symlink_to(owners.parent / "elsewhere")
    with pytest.raises(NotTrusted, match="folders.state is"):
        once(owners)


def test_a_state_copied_from_another_print_folder_is_worth_nothing(
    owners: Path, ran: Path, once: Once, drop_pair: Drop, say_yes: Yes
) -> None:
    """A folder of the same owner in which this very command has a yes."""
    attack(owners, ran)
    other = owners.parent / "other"
    other.mkdir()
    shutil.copy(owners / "settings.toml", other)
    change(other, f'state = "{owners.parent}/notes"', "")
    say_yes(other)
    change(owners, f'state = "{owners.parent}/notes"', "")
    shutil.copytree(other / "state", owners / "state")
    drop_pair(owners / "inbox")
    assert once(owners).making.made == 1
    assert not ran.exists()
    assert secret_file(other) != secret_file(owners)


def test_folders_that_are_changed_while_the_service_is_at_work_stay_and_this_is_said(
    owners: Path, inline_workers: None, drop_pair: Drop
) -> None:
    service = service_for(load_settings(owners / "settings.toml"), once=False, to_screen=False)
    service.start()
    try:
        before = service.shop.settings
        change(owners, "[folders]", f'[folders]\ninbox = "{owners.parent}/private"')
        for now in range(3):
            service.step(now * 100.0)
        assert service.shop.settings is before
        service._show(at_work=False)
        assert (
            "The settings were changed, but the old ones stay: folders.inbox is …/private"
            in (owners / "outbox/status.html").read_text()
        )
    finally:
        service.stop()


def test_an_inbox_that_becomes_a_link_to_elsewhere_is_not_looked_into(
    owners: Path, inline_workers: None, drop_pair: Drop
) -> None:
    private = owners.parent / "private"
    drop_pair(private)
    service = service_for(load_settings(owners / "settings.toml"), once=False, to_screen=False)
    service.start()
    try:
        (owners / "inbox").rmdir()
        (owners / "inbox").symlink_to(private)
        for now in range(5):
            service.step(now * 100.0)
        assert "the folder inbox leads to another place than at the start" in (service.trouble or "")
        assert len(list(private.iterdir())) == 2
    finally:
        service.stop()


def test_a_note_of_an_order_puts_no_file_anywhere_else(owners: Path, once: Once) -> None:
    """Such a note says where files are to be put back after a crash: a file for the next log-in, for one."""
    target = owners.parent / "autostart/his.desktop"
    target.parent.mkdir()
    taking = owners / "archive/.taking-7"
    taking.mkdir(parents=True)
    (taking / "his.desktop").write_text("his")
    wishes = {"card": "tag", "sheet": "", "quantity": 1, "overs": "0", "due": None, "note": ""}
    files = [{"name": "his.desktop", "origin": str(target), "size": 3, "sha256": ""}]
    note = {
        "number": 7,
        "name": "x",
        "key": "x",
        "folder": None,
        "accepted": False,
        "art": [],
        "files": files,
        **wishes,
    }
    (owners / "archive/.taking-7.json").write_text(json.dumps(note))
    once(owners)
    assert list(target.parent.iterdir()) == []
    assert (owners / "held/his/his.desktop").read_text() == "his"  # from the inbox, where it is none of ours


def test_a_journal_of_his_own_leads_nowhere_else(tmp_path: Path) -> None:
    journal = open_journal(tmp_path)
    for number, (folder, run) in enumerate([("../private", ""), ("x", "../private"), ("/private", ""), ("x", "")]):
        journal.write(
            Entry(number=number, name="x", key="x", card="tag", state=State.DONE, since="", folder=folder, run=run)
        )
    assert [entry.number for entry in journal.in_state(State.DONE)] == [3]
    journal.close()


@pytest.mark.parametrize(
    ("run", "numbers"),
    [
        ("../../autostart", {}),
        ("../../autostart", {"x": 7}),
        ("run", {"../../autostart": 7, "x": 1}),
        ("run", {"x": "7"}),
        ("run", "no list"),
    ],
)
def test_a_run_of_his_own_is_put_nowhere_else_and_stops_nothing(
    owners: Path, once: Once, drop_pair: Drop, run: str, numbers: object
) -> None:
    """As a crash leaves it in the middle of its delivery: the name of its folder stands in its tickets."""
    taking, building = owners / "archive/.taking-7", owners / "archive/.making-run-1"
    for folder in (taking, building, owners / "archive/x"):
        folder.mkdir(parents=True)
    for folder in (building, owners / "archive/x"):
        (folder / "x_ticket.toml").write_text(f'order = "x"\nrun = "{run}"\nrun_orders = ["x"]\n')
    (building / "his.desktop").write_text("his")
    (building / ".numbers.json").write_text(json.dumps(numbers))
    drop_pair(owners / "inbox")
    assert once(owners).making.made == 1
    assert not (owners.parent / "autostart").exists()
    assert not list(owners.rglob("autostart"))


@pytest.fixture
def private(owners: Path) -> Path:
    """A folder of the owner's, apart from the print folder."""
    folder = owners.parent / "private"
    folder.mkdir()
    (folder / "letter.txt").write_text("mine")
    return folder


@pytest.mark.parametrize(
    "name", ["archive/.making-1", "archive/.making-7", "archive/.making-run-1", "archive/.taking-7", "outbox/.making-7"]
)
def test_a_link_in_the_place_of_a_working_folder_has_nothing_moved_removed_or_written_elsewhere(
    owners: Path, private: Path, once: Once, drop_pair: Drop, name: str
) -> None:
    """The note says that the letter came out of the inbox: before, it went there, and on to the enemy."""
    (owners / name).parent.mkdir(exist_ok=True)
    (owners / name).symlink_to(private)
    inbox = owners / "inbox/letter.txt"
    files = [{"name": "letter.txt", "origin": str(inbox), "size": 4, "sha256": ""}]
    note = {"number": 7, "name": "x", "key": "x", "folder": None, "accepted": False, "art": [], "files": files}
    wishes = {"card": "tag", "sheet": "", "quantity": 1, "overs": "0", "due": None, "note": ""}
    (owners / "archive").mkdir(exist_ok=True)
    (owners / "archive/.taking-7.json").write_text(json.dumps(note | wishes))
    drop_pair(owners / "inbox")
    assert once(owners).making.made == 1
    assert [(file.name, file.read_text()) for file in private.iterdir()] == [("letter.txt", "mine")]
    assert not inbox.exists()


@pytest.mark.parametrize("name", [".making-7", ".making-run-7", ".taking-7"])
def test_a_file_in_the_place_of_a_working_folder_and_a_folder_in_one_stop_nothing(
    owners: Path, once: Once, drop_pair: Drop, name: str
) -> None:
    (owners / "archive" / name.replace("7", "8") / "deep/deeper").mkdir(parents=True)
    (owners / "archive" / name).write_text("a file")
    drop_pair(owners / "inbox")
    assert once(owners).making.made == 1


def test_a_log_that_is_a_link_has_no_line_written_elsewhere(
    owners: Path, private: Path, once: Once, drop_pair: Drop
) -> None:
    """The names of orders stand in it: `x; his-command; ` would be run by a shell that reads it at the next log-in."""
    (owners / "outbox").mkdir(exist_ok=True)
    (owners / "outbox/log.txt").symlink_to(private / "letter.txt")
    drop_pair(owners / "inbox")
    once(owners)
    assert (private / "letter.txt").read_text() == "mine"
    assert "lantern: made" in (owners / "outbox/log.txt").read_text()


@pytest.mark.parametrize("name", ["service.log", "lock", "journal.sqlite", "archive.sqlite", "health.toml"])
def test_a_link_among_the_programs_own_notes_has_nothing_written_elsewhere(
    owners: Path, private: Path, once: Once, drop_pair: Drop, name: str
) -> None:
    change(owners, f'state = "{owners.parent}/notes"', "")
    (owners / "state").mkdir()
    (owners / "state" / name).symlink_to(private / "letter.txt")
    drop_pair(owners / "inbox")
    assert once(owners).making.made == 1
    assert (private / "letter.txt").read_text() == "mine"
