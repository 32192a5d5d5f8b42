"""An archived order is read strictly from its ticket, and a folder that is none says why."""

from datetime import date
from pathlib import Path

from tests.archive.archived_order import put_order
from watcher.archive.archived import archived_names, art_in, may_be_called, read_archived, why_unreadable


def archived(archive: Path, folder: str, **said: object) -> Path:
    values = {
        "overs": 2, "sheets": 6, "sheet": {"name": "letter", "width_mm": 200.0, "height_mm": 300.0},
        "art": [{"side": "front", "file": "a.pdf", "sha256": "ab", "page": 2}],
    }  # fmt: skip
    return put_order(archive, folder, **(values | said))


def test_what_an_early_ticket_leaves_out_is_taken_from_what_it_says(tmp_path):
    order = read_archived(archived(tmp_path, "lantern", due="2026-05-20"))
    assert (order.name, order.printed_as, order.printed_on) == ("lantern", "lantern", "2026-05-01")
    assert (order.first, order.designs, order.cards, str(order.wishes.overs)) == ("lantern", 1, 10, "2")
    assert order.wishes.due == date(2026, 5, 20)
    assert order.art[0].page == 1  # counted from 1 in the ticket
    assert order.paper_m2 == 0.36  # six of 0.2 x 0.3 m


def test_a_ticket_that_is_not_as_we_write_it_is_no_order(tmp_path):
    wrong = {"art": [{"side": "front", "file": "../a.pdf", "sha256": "ab"}], "quantity": 0, "sheets": True, "up": "2"}
    for key, value in wrong.items():
        assert read_archived(archived(tmp_path, key, **{key: value})) is None, key


def test_each_unreadable_folder_says_why(tmp_path):
    archived(tmp_path, "lantern"), archived(tmp_path, "odd", sheets=-1), (tmp_path / "bare").mkdir()
    short = archived(tmp_path, "short") / "short_ticket.toml"
    short.write_text("\n".join(line for line in short.read_text().splitlines() if not line.startswith("card")))
    assert {name: why_unreadable(tmp_path / name) for name in ("lantern", "bare", "odd", "short")} == {
        "lantern": "",
        "bare": "its bare_ticket.toml is missing",
        "odd": "its odd_ticket.toml is damaged: an entry is not as this program writes it",
        "short": "its short_ticket.toml is damaged: the entry card is missing",
    }


def test_the_art_beside_a_ticket_is_listed_without_the_ticket_and_hidden_files(tmp_path):
    folder = archived(tmp_path, "lantern")
    for name in ("b.png", "a.png", ".hidden"):
        (folder / name).touch()
    assert art_in(folder) == ("a.png", "b.png")
    assert art_in(tmp_path / "nowhere") == ()


def test_a_folder_may_have_the_name_or_the_name_with_a_number():
    assert [may_be_called(folder, "Spring") for folder in ("spring", "SPRING-2")] == [True, True]
    assert [may_be_called(folder, "spring") for folder in ("spring-2b", "springs-2", "spring-2-3")] == [False] * 3


def test_an_archive_that_is_not_there_yet_has_no_orders(tmp_path):
    assert archived_names(tmp_path / "archive") == []
