"""What tickets say is remembered: a list opens none that it knows, and sees what people did to the archive by hand."""

import shutil
import sqlite3
from pathlib import Path

import pytest
import tomli_w

from watcher.archive import ticket_row
from watcher.archive.index_file import FILE_NAME
from watcher.archive.listing import list_orders
from watcher.archive.ticket_index import TicketIndex


def put(archive: Path, folder: str, **said: object) -> Path:
    """Put an order into the archive; gives its ticket."""
    ticket = {
        "order": folder, "card": "invitation", "quantity": 10, "overs": 2, "up": 2, "sheets": 6,
        "made_at": "2026-05-01T10:11:12+02:00",
        "sheet": {"name": "letter", "width_mm": 200.0, "height_mm": 300.0},
        "art": [{"side": "front", "file": "a.pdf", "sha256": "ab", "page": 2}],
        "settings": {"card": {"trim": "5 x 7 in"}}, "findings": [{"level": "warn", "code": "c", "message": "m"}],
    }  # fmt: skip
    (archive / folder).mkdir(parents=True)
    file = archive / folder / f"{folder}_ticket.toml"
    file.write_text(tomli_w.dumps(ticket | said))
    return file


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """An archive of three orders, and a folder for the state."""
    (tmp_path / "state").mkdir()
    for name in ("lantern", "moon", "sun"):
        put(tmp_path / "archive", name, note=f"for {name}")
    return tmp_path


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The orders whose tickets are opened from now on."""
    names: list[str] = []
    read = ticket_row.read_ticket_file

    def counted(file: Path) -> object:
        names.append(file.parent.name)
        return read(file)

    monkeypatch.setattr("watcher.archive.ticket_row.read_ticket_file", counted)
    monkeypatch.setattr("watcher.archive.archived.read_ticket_file", counted)
    return names


def listed(shop: Path, text: str = "") -> list[str]:
    entries = list_orders(shop / "archive", text, state=shop / "state").entries
    return sorted(entry.folder for entry in entries)


def test_a_list_opens_no_ticket_that_it_knows(shop, opened):
    assert listed(shop) == ["lantern", "moon", "sun"]
    assert sorted(opened) == ["lantern", "moon", "sun"]
    opened.clear()
    assert listed(shop) == ["lantern", "moon", "sun"]
    assert listed(shop, "FOR moon") == ["moon"]
    assert opened == []


def test_what_is_remembered_is_what_the_ticket_says(shop):
    afresh, known = (list_orders(shop / "archive", state=state) for state in (None, shop / "state"))
    assert known == list_orders(shop / "archive", state=shop / "state") == afresh


def test_a_folder_that_is_deleted_by_hand_is_listed_no_more(shop, opened):
    listed(shop)
    opened.clear()
    shutil.rmtree(shop / "archive/moon")
    assert listed(shop) == ["lantern", "sun"]
    assert opened == []


def test_a_folder_that_is_copied_in_by_hand_is_found(shop, opened):
    listed(shop)
    opened.clear()
    put(shop / "archive", "star")
    assert listed(shop) == ["lantern", "moon", "star", "sun"]
    assert opened == ["star"]


def test_a_ticket_that_was_changed_is_read_again(shop, opened):
    listed(shop)
    opened.clear()
    ticket = shop / "archive/sun/sun_ticket.toml"
    ticket.write_text(ticket.read_text().replace("for sun", "for the Harbour Ball"))
    assert listed(shop, "harbour") == ["sun"]
    assert opened == ["sun"]


def test_folders_that_are_no_orders_are_told_of_each_time(shop, opened):
    put(shop / "archive", "odd", sheets=-1)
    (shop / "archive/bare").mkdir()
    (shop / "archive/.making-7").mkdir()
    first, again = (list_orders(shop / "archive", state=shop / "state").damaged for _ in range(2))
    assert first == again
    assert [(one.folder, one.why) for one in again] == [
        ("bare", "its bare_ticket.toml is missing"),
        ("odd", "its odd_ticket.toml is damaged: an entry is not as this program writes it"),
    ]
    assert opened.count("odd") == 1


@pytest.mark.parametrize("what", ["lost", "no database", "of another version", "a folder"])
def test_it_is_made_again_from_the_archive(shop, what):
    listed(shop)
    file = shop / "state" / FILE_NAME
    for left in (shop / "state").iterdir():
        left.unlink()
    if what == "no database":
        file.write_bytes(b"this is no database, " * 500)
    elif what == "of another version":
        with sqlite3.connect(file) as other:
            other.execute("CREATE TABLE tickets (something)")
            other.execute("PRAGMA user_version = 99")
        other.close()
    elif what == "a folder":
        file.mkdir()
    assert listed(shop) == ["lantern", "moon", "sun"]


def test_a_reading_that_is_cut_short_goes_on_where_it_was(shop, opened):
    index = TicketIndex(shop / "state")
    index.read(shop / "archive", index.scan(shop / "archive").unread[:1])
    index.close()
    known = list(opened)
    listed(shop)
    assert sorted(opened) == ["lantern", "moon", "sun"]
    assert len(known) == 1


def test_two_may_read_at_the_same_time(shop):
    one, other = TicketIndex(shop / "state"), TicketIndex(shop / "state")
    for index in (one, other):
        index.catch_up(shop / "archive")
    put(shop / "archive", "star")
    for index in (other, one):
        index.catch_up(shop / "archive")
        assert len(list(index.listed())) == 4
        index.close()


def test_without_a_state_folder_nothing_is_written(shop):
    (shop / "state").rmdir()
    assert listed(shop) == ["lantern", "moon", "sun"]
    assert not (shop / "state").exists()


def test_it_tells_how_far_the_reading_is(shop, monkeypatch):
    monkeypatch.setattr("watcher.archive.ticket_index.AT_A_TIME", 2)
    told: list[tuple[int, int]] = []
    list_orders(shop / "archive", state=shop / "state", progress=lambda done, of_all: told.append((done, of_all)))
    assert told == [(2, 3), (3, 3)]


def test_a_name_that_is_no_utf8_is_kept_as_it_is(shop):
    name = "caf\udce9"
    put(shop / "archive", "cafe")
    (shop / "archive/cafe/cafe_ticket.toml").rename(shop / f"archive/cafe/{name}_ticket.toml")
    (shop / "archive/cafe").rename(shop / "archive" / name)
    assert listed(shop) == listed(shop) == [name, "lantern", "moon", "sun"]
