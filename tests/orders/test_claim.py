"""Files leave the inbox whole: what an order holds, the names in its folder, a ZIP of several orders, devices."""

import errno
import hashlib
import os

import pytest

from tests.orders.an_order import file_names
from watcher.disk import moves as disk
from watcher.orders.claim import claim, note_of, put_back, read_note, taking_folder
from watcher.orders.model import ArtSource, KeptFile, Planned
from watcher.orders.pairing import bundles
from watcher.terms import Side


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


# -- the whole round trip ----------------------------------------------------------------------------------------------


def test_an_order_is_taken_whole(drop, pair, inbox, archive, make):
    drop("a_front.png", "a_back.png", **{"a.toml": b'quantity = 3\novers = "5 %"\ndue = 2026-12-24\nnote = "matt"'})
    (order,) = claim(pair(), archive, 7)
    assert file_names(inbox) == []
    assert file_names(taking_folder(archive, 7)) == ["a.toml", "a_back.png", "a_front.png"]
    assert (order.number, order.name, order.wishes.card, order.wishes.sheet) == (7, "a", "invitation", "letter")
    assert (order.wishes.quantity, str(order.wishes.overs), str(order.wishes.due)) == (3, "5 %", "2026-12-24")
    assert order.wishes.note == "matt"
    assert order.art == (
        ArtSource(side=Side.FRONT, file="a_front.png", sha256=_sha256(make.png("a_front.png"))),
        ArtSource(side=Side.BACK, file="a_back.png", sha256=_sha256(make.png("a_back.png"))),
    )


def test_what_is_kept_says_where_it_lay_and_what_it_holds(drop, pair, archive, make):
    (path,) = drop("tag/a.png")
    (order,) = claim(pair(), archive, 1)
    data = make.png("tag/a.png")
    assert order.files == (KeptFile(name="a.png", origin=str(path), size=len(data), sha256=_sha256(data)),)


def test_the_note_beside_the_folder_tells_all(drop, pair, archive, make):
    drop(**{"a_x3.zip": make.packed({"1.png": b"f", "2.png": b"b", "job.toml": b'note = "f\xc3\xaate"'})})
    (order,) = claim(pair(), archive, 1)
    assert read_note(note_of(archive, 1)) == order


def test_put_back_undoes_a_claim(drop, pair, archive, hashes):
    drop("a_front.png", "tag/b.png", **{"a.toml": b"quantity = 3"})
    before = hashes()
    orders = [order for number, plan in enumerate(pair()) for order in claim([plan], archive, 2 * number + 1)]
    assert hashes() != before
    for order in orders:
        put_back(order, archive)
    assert hashes() == before
    assert file_names(archive) == []


def test_names_that_are_no_text_are_taken_and_put_back(settings, pair, inbox, archive, make, hashes):
    """A file name on Linux is any bytes; `write_note` keeps them through JSON."""
    (inbox / os.fsdecode(b"a\xff\n_front.png")).write_bytes(make.png())
    before = hashes()
    (order,) = claim(pair(), archive, 1)
    assert read_note(note_of(archive, 1)) == order
    put_back(read_note(note_of(archive, 1)), archive)
    assert hashes() == before


def test_a_pdf_page_is_told(drop, pair, archive, make):
    drop(**{"a.pdf": make.pdf(2)})
    (order,) = claim(pair(), archive, 1)
    assert [(source.file, source.page) for source in order.art] == [("a.pdf", 0), ("a.pdf", 1)]


def test_a_fault_is_taken_with_all_its_files(drop, pair, archive):
    drop("a_front.png", "a_front (1).png")
    (order,) = claim(pair(), archive, 1)
    assert order.fault is not None
    assert order.art == ()
    assert file_names(taking_folder(archive, 1)) == ["a_front (1).png", "a_front.png"]


# -- names in the folder -----------------------------------------------------------------------------------------------


def test_two_files_of_one_name_get_names_of_their_own(drop, pair, archive, settings):
    """A half that was set aside may be called like what comes: both are kept."""
    drop("A_front.png", "tag/a_front.png")
    merged = Planned(name="a", key="a", folder=None, beside=tuple(found for plan in pair() for found in plan.beside))
    pieces = tuple(piece for plan in pair() for piece in plan.pieces)
    (order,) = claim([Planned(**{**vars(merged), "pieces": pieces})], archive, 1)
    assert sorted(file.name for file in order.files) == ["A_front.png", "a_front 2.png"]
    assert {source.file for source in order.art} == {"A_front.png", "a_front 2.png"}


@pytest.mark.parametrize("name", ["why.txt", "WHY.TXT", "held.toml"])
def test_a_file_called_like_our_notes_is_not_overwritten_by_them(name, gather_now, inbox, archive):
    """`held/ORDER/` gets a `why.txt` and a `held.toml` of its own; the customer's stay whole."""
    (inbox / name).write_bytes(b"quantity = 5")
    (plan,) = gather_now().plans
    (order,) = claim([plan], archive, 1)
    stem, _, ending = name.partition(".")
    assert [file.name for file in order.files] == [f"{stem} 2.{ending}"]
    assert (taking_folder(archive, 1) / f"{stem} 2.{ending}").read_bytes() == b"quantity = 5"


# -- a ZIP of several orders -------------------------------------------------------------------------------------------


def _week(make) -> bytes:
    return make.packed({f"{name}_{side}.png": f"{name}{side}".encode() for name in "ab" for side in ("front", "back")})


def test_orders_of_one_zip_each_have_it_whole(drop, pair, inbox, archive, make):
    drop("b.png", **{"week.zip": _week(make)})
    (bundle,) = (bundle for bundle in bundles(pair()) if len(bundle) > 1)
    one, two = claim(bundle, archive, 5)
    assert (one.number, two.number) == (5, 6)
    for order in (one, two):
        assert (taking_folder(archive, order.number) / "week.zip").read_bytes() == _week(make)
    assert file_names(archive) == [".taking-5", ".taking-5.json", ".taking-6", ".taking-6.json"]


def test_each_order_of_a_zip_knows_its_own_members(drop, pair, archive, make):
    drop(**{"week.zip": _week(make)})
    orders = {order.name: order for order in claim(bundles(pair())[0], archive, 1)}
    assert orders["a"].files[0].members == ("a_front.png", "a_back.png")
    assert orders["b"].files[0].members == ("b_front.png", "b_back.png")
    assert orders["b"].art[0].sha256 == _sha256(b"bfront")


def test_a_held_order_of_a_zip_knows_its_members_and_its_ticket(drop, pair, archive, make):
    """Or it would bring all the other orders of the ZIP with it when it is moved back."""
    members = {"a_x1_front.png": b"1", "a_x2_back.png": b"2", "a.toml": b"quantity = 1", "b_front.png": b"3"}
    drop(**{"week.zip": make.packed(members)})
    orders = {order.name: order for order in claim(bundles(pair())[0], archive, 1)}
    assert orders["a"].fault is not None
    assert set(orders["a"].files[0].members) == {"a_x1_front.png", "a_x2_back.png", "a.toml"}


def test_a_zip_is_copied_where_there_are_no_hard_links(drop, pair, archive, make, monkeypatch):
    def no_links(*_: object) -> None:
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", no_links)
    drop(**{"week.zip": _week(make)})
    one, two = claim(bundles(pair())[0], archive, 1)
    assert (taking_folder(archive, one.number) / "week.zip").read_bytes() == _week(make)
    assert (taking_folder(archive, two.number) / "week.zip").read_bytes() == _week(make)


@pytest.mark.parametrize("taken", [1, 2, 3])
def test_a_number_in_use_harms_neither_order(taken, drop, pair, archive, hashes, make):
    drop(**{"week.zip": make.packed({"a_front.png": b"1", "b_front.png": b"2"})})
    taking_folder(archive, taken).mkdir()
    (taking_folder(archive, taken) / "x.png").write_bytes(b"another order's")
    before = hashes()
    with pytest.raises(FileExistsError):
        claim(bundles(pair())[0], archive, 1)
    assert hashes() == before


# -- across devices ----------------------------------------------------------------------------------------------------


def test_an_order_is_taken_across_devices(drop, pair, inbox, archive, make, two_devices):
    front, _ = drop("a_front.png", "a_back.png")
    dated = 1_700_000_000_123_456_789
    os.utime(front, ns=(dated, dated))
    (order,) = claim(pair(), archive, 1)
    assert file_names(inbox) == []
    assert order.art[0].sha256 == _sha256(make.png("a_front.png"))
    assert (taking_folder(archive, 1) / "a_front.png").stat().st_mtime_ns == dated
    assert file_names(taking_folder(archive, 1)) == ["a_back.png", "a_front.png"]


def test_a_device_with_coarse_dates_takes_an_order_too(drop, pair, inbox, archive, two_devices, monkeypatch):
    """FAT keeps dates to 2 s: the date of the copy is another one, its bytes are the same."""
    drop("a_front.png", "a_back.png")
    monkeypatch.setattr(disk.os, "utime", lambda *_, **__: None)
    claim(pair(), archive, 1)
    assert file_names(inbox) == []


def test_a_claim_across_devices_is_put_back(drop, pair, archive, hashes, two_devices):
    drop("a_front.png", "a_back.png")
    before = hashes()
    (order,) = claim(pair(), archive, 1)
    put_back(order, archive)
    assert hashes() == before
