"""Held orders as status lists them; more in `test_overview`."""

from dataclasses import replace
from datetime import date

import pytest
from PIL import Image

from watcher.orders.held_note import FILE_NAME, HeldFile, HeldNote, to_toml
from watcher.status.held import HeldOrders
from watcher.terms import Finding, Level, Side

NOTE = HeldNote(
    order="menu", key="menu", card="menu", inbox_folder="", folder="menu", missing="", soft=True,
    since="2026-11-25T14:05:00+01:00", why="It is too small.", files=(),
    reasons=(Finding(level=Level.HOLD, code="low-resolution", message="It is too small.", side=Side.BACK),),
)  # fmt: skip


@pytest.fixture
def put(tmp_path):
    """Put a held folder there."""

    def make(note: HeldNote) -> None:
        (tmp_path / note.folder).mkdir()
        (tmp_path / note.folder / FILE_NAME).write_bytes(to_toml(note))

    return make


def test_each_reason_keeps_its_code_and_its_side(put, tmp_path):
    put(NOTE)
    (order,) = HeldOrders().read(tmp_path).entries
    assert order.reasons == NOTE.reasons
    assert order.may_be_accepted


def test_the_newest_comes_first(put, tmp_path):
    put(NOTE)
    put(replace(NOTE, folder="later", since="2026-11-26T08:00:00+01:00"))
    assert [order.folder for order in HeldOrders().read(tmp_path).entries] == ["later", "menu"]


def test_art_that_no_worker_has_seen_is_shown_from_where_it_lies(put, tmp_path):
    file = HeldFile(name="menu_front.png", sha256="")
    put(replace(NOTE, files=(file,)))
    (tmp_path / "menu/menu_front.png").write_bytes(b"png")
    (order,) = HeldOrders().read(tmp_path, tmp_path.parent / "outbox").entries
    assert order.art == ("..", tmp_path.name, "menu", "menu_front.png")


def test_art_that_cannot_be_opened_is_not_shown(put, tmp_path):
    damaged = Finding(level=Level.REFUSE, code="art-unreadable", message="menu_front.png is damaged.")
    put(replace(NOTE, files=(HeldFile(name="menu_front.png", sha256=""),), reasons=(damaged,)))
    (tmp_path / "menu/menu_front.png").write_bytes(b"no picture")
    (order,) = HeldOrders().read(tmp_path, tmp_path.parent / "outbox").entries
    assert order.art == ()


def test_a_marked_picture_is_shown_however_many_newer_orders_have_none(put, tmp_path):
    put(replace(NOTE, folder="marked", pictures=("marked_why.png",)))
    Image.new("RGB", (30, 20), "red").save(tmp_path / "marked/marked_why.png")
    for number in range(9):
        put(replace(NOTE, folder=f"bare-{number}", since="2026-11-26T08:00:00+01:00"))
    (marked,) = (order for order in HeldOrders().read(tmp_path, tmp_path).entries if order.folder == "marked")
    assert marked.spots is not None


def test_the_picture_of_its_spots_is_read_for_the_page(put, tmp_path):
    put(replace(NOTE, pictures=("menu_why.png",), due="2026-12-24", quantity=5, quantity_from_card=True))
    Image.new("RGB", (30, 20), "red").save(tmp_path / "menu/menu_why.png")
    (order,) = HeldOrders().read(tmp_path, tmp_path).entries
    assert order.spots is not None
    assert (order.due, order.cards) == (date(2026, 12, 24), "5 cards, because no number was given")


def test_another_name_that_is_no_answer_is_told(put, tmp_path):
    put(NOTE)
    (tmp_path / "menu").rename(tmp_path / "menu maybe")
    (order,) = HeldOrders().read(tmp_path).entries
    assert (order.is_accepted, order.held_as) == (False, "menu")


def test_a_folder_without_a_note_says_so_by_its_code(tmp_path):
    (tmp_path / "stray").mkdir()
    (order,) = HeldOrders().read(tmp_path).entries
    assert [reason.code for reason in order.reasons] == ["no-held-note"]
    assert (order.is_ours, order.may_be_accepted, order.is_accepted) == (False, False, False)
