"""Held orders as status lists them; more in `test_overview`."""

from dataclasses import replace

import pytest

from watcher.orders.held_note import FILE_NAME, HeldNote, to_toml
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


def test_a_folder_without_a_note_says_so_by_its_code(tmp_path):
    (tmp_path / "stray").mkdir()
    (order,) = HeldOrders().read(tmp_path).entries
    assert [reason.code for reason in order.reasons] == ["no-held-note"]


@pytest.mark.parametrize(
    ("soft", "way"), [(True, 'rename it to "menu ok" to say yes'), (False, "it needs other files")]
)
def test_a_new_name_that_is_no_yes_is_named_with_what_it_waits_for(put, tmp_path, soft, way):
    put(replace(NOTE, soft=soft))
    (tmp_path / "menu").rename(tmp_path / "menu not ok")
    (order,) = HeldOrders().read(tmp_path).entries
    assert order.reasons[0].code == "name-not-understood"
    assert "menu is called menu not ok now, which is no yes" in order.reasons[0].message
    assert way in order.reasons[0].message
    assert order.reasons[1:] == NOTE.reasons
    assert not order.is_accepted
