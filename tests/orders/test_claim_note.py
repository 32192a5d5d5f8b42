"""The note beside a taken order keeps its form on disk: flat, with what a repeat changes in a table of its own."""

import json

import pytest

from tests.orders.an_order import an_order
from watcher.orders.claim_note import note_text, order_in
from watcher.orders.model import ArtSource, KeptFile, Repeat
from watcher.terms import Sequencing, Side

FLAT = {
    "number": 7, "name": "Spring Menu", "key": "spring menu", "folder": "menu", "card": "menu", "sheet": "a4",
    "quantity": 40, "overs": "5 %", "due": "2026-12-24", "note": "matt", "accepted": False,
    "art": [{"side": "front", "file": "a.png", "sha256": "ab", "member": None, "member_name": None, "page": None,
             "file_sha256": None, "design": 1, "earlier": None}],
    "files": [{"name": "a.png", "origin": "inbox/a.png", "size": 3, "sha256": "ab", "members": []}],
    "fault": None, "missing": None, "approve": None, "repeat": None, "now": True, "sequence": "stacks", "only": [3],
    "overruled": False,
}  # fmt: skip
ORDER = an_order(
    "Spring Menu", 7, folder="menu", card="menu", sheet="a4", quantity=40, overs="5 %", due="2026-12-24", note="matt",
    now=True, sequence=Sequencing.STACKS, only=(3,), art=(ArtSource(side=Side.FRONT, file="a.png", sha256="ab"),),
    files=(KeptFile(name="a.png", origin="inbox/a.png", size=3, sha256="ab"),),
)  # fmt: skip
ASKED = {
    "order": "lantern",
    "quantity": None,
    "overs": None,
    "sheet": None,
    "sheets_only": 2,
    "as_before": True,
    "only": [],
}


def test_an_order_is_written_as_a_flat_table():
    assert json.loads(note_text(ORDER)) == FLAT


def test_a_note_of_an_earlier_version_is_read():
    assert order_in(json.dumps(FLAT).encode()) == ORDER


def test_keys_that_early_versions_did_not_write_may_be_missing():
    early = {
        key: value for key, value in FLAT.items() if key not in ("approve", "now", "sequence", "only", "overruled")
    }
    wishes = order_in(json.dumps(early).encode()).wishes
    assert (wishes.approve, wishes.now, wishes.sequence, wishes.only) == (None, False, None, ())


def test_what_a_repeat_changes_stands_with_it():
    order = an_order("lantern", quantity=12, overs="3", sheet="sra3", only=(2,), repeat=Repeat(order="lantern"))
    body = json.loads(note_text(order))
    assert (body["quantity"], body["overs"], body["sheet"], body["only"]) == (12, "3", "", [])
    asked = {"quantity": 12, "overs": "3", "sheet": "sra3", "only": [2], "sheets_only": None, "as_before": False}
    assert body["repeat"] == {"order": "lantern", **asked}
    assert order_in(note_text(order)) == order


def test_a_repeat_that_changes_nothing_is_read_so():
    order = order_in(json.dumps(FLAT | {"repeat": ASKED, "quantity": 1, "overs": "0", "sheet": ""}).encode())
    assert order.repeat == Repeat(order="lantern", sheets_only=2, as_before=True)
    assert (order.wishes.quantity, order.wishes.overs, order.wishes.sheet, order.wishes.only) == (0, None, "", ())
    assert json.loads(note_text(order))["repeat"] == ASKED


@pytest.mark.parametrize("note", [b"null", b"[]", b"{}", b"", b"\xff"])
def test_what_is_no_note_is_refused(note):
    with pytest.raises((ValueError, KeyError, TypeError)):
        order_in(note)


@pytest.mark.parametrize("name", ["../x.png", "/x.png", "a/b.png", "..", ""])
def test_a_note_that_names_files_in_other_folders_is_refused(name):
    """Whoever can write to the archive could have them printed, or moved away."""
    for part, key in (("files", "name"), ("art", "file")):
        changed = json.loads(json.dumps(FLAT))
        changed[part][0][key] = name
        with pytest.raises(ValueError, match="in another folder"):
            order_in(json.dumps(changed).encode())


def test_a_number_that_is_a_path_is_refused():
    with pytest.raises(ValueError, match="in another folder"):
        order_in(json.dumps(FLAT | {"number": "1/../../x"}).encode())
