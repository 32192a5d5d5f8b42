"""`held/ORDER/`: appears whole, says why in plain words, and knows its way back."""

import os
from dataclasses import replace
from pathlib import Path

import pytest

from tests.outbox.a_held_order import ART, SINCE, WHY
from watcher.inbox.found import Earlier
from watcher.orders.held_note import HeldFile, read_held_note
from watcher.orders.model import ArtSource, KeptFile, Order
from watcher.outbox.hold import hold
from watcher.terms import EarlierUse, Finding, Level, Side


def _why(folders: Path, name: str = "spring menu") -> str:
    return (folders / "held" / name / "why.txt").read_text("utf-8")


# -- the folder --------------------------------------------------------------------------------------------------------


def test_the_folder_holds_art_reason_and_note(take, hold_it, contents, folders):
    note = hold_it(take())
    assert sorted(contents()) == [
        "held/spring menu/held.toml",
        "held/spring menu/spring menu_back.png",
        "held/spring menu/spring menu_front.png",
        "held/spring menu/why.txt",
    ]
    assert read_held_note(folders / "held" / "spring menu") == note
    assert list((folders / "archive").iterdir()) == []


def test_the_note_tells_what_and_where_from(take, hold_it):
    order = take(folder="menu")
    note = hold_it(order, "It is too small.\nAnd blue.", "It is red.", soft=True)
    assert (note.order, note.key, note.card, note.inbox_folder) == ("spring menu", "spring menu", "menu", "menu")
    assert (note.soft, note.since, note.why, note.missing) == (True, SINCE, r"It is too small.\nAnd blue.", "")
    assert note.files == tuple(HeldFile(name=file.name, sha256=file.sha256) for file in order.files)


def test_the_members_of_a_zip_go_into_the_note(take, hold_it):
    order = take(files={"week.zip": b"PK"})
    (kept,) = order.files
    members = KeptFile(**{**vars(kept), "members": ("set/1.png", "job.toml")})
    note = hold_it(Order(**{**vars(order), "files": (members,)}))
    assert note.files[0].members == ("set/1.png", "job.toml")


def test_a_file_of_an_earlier_try_keeps_where_that_was_and_the_others_have_nothing(take, hold_it):
    order = take(files={"a_front.png": b"front", "a_back.png": b"back"})
    earlier = Earlier(place="held/a", since="2026-05-01T12:00:00+02:00", use=EarlierUse.WANTED)
    art = (
        ArtSource(side=Side.FRONT, file="a_front.png", sha256="ab"),
        ArtSource(side=Side.BACK, file="a_back.png", sha256="cd", earlier=earlier),
    )
    note = hold_it(replace(order, art=art))
    assert {file.name: file.earlier for file in note.files} == {"a_front.png": None, "a_back.png": earlier}


@pytest.mark.parametrize(
    ("name", "folder"), [("../../etc/passwd", "etcpasswd"), ("a\nb", "ab"), ("con", "con_"), ("...", "order")]
)
def test_no_name_leaves_the_held_folder(take, hold_it, folders, name, folder):
    note = hold_it(take(name=name, files={"a.png": b"a"}))
    assert note.folder == folder
    assert [path.name for path in (folders / "held").iterdir()] == [folder]
    assert read_held_note(folders / "held" / folder) == note


def test_a_name_that_is_taken_gets_a_number(take, hold_it, folders):
    for number in (1, 2, 3):
        hold_it(take(number=number))
    assert sorted(path.name for path in (folders / "held").iterdir()) == [
        "spring menu",
        "spring menu-2",
        "spring menu-3",
    ]
    assert "spring menu-3 ok" in _why_soft(take, hold_it, folders)


def _why_soft(take, hold_it, folders) -> str:
    (folders / "held" / "spring menu-3").rename(folders / "inbox" / "gone")
    hold_it(take(number=4), soft=True)
    return _why(folders, "spring menu-3")


def test_what_a_try_left_beside_the_art_is_not_held(take, hold_it, contents, folders):
    """The card's common back is copied beside the art when the order is made; it is no part of what came."""
    order = take()
    (folders / "archive" / ".taking-1" / "common-back.png").write_bytes(b"common")
    hold_it(order)
    assert "held/spring menu/common-back.png" not in contents()


def test_names_of_any_bytes_are_held_and_known_again(take, hold_it, folders):
    odd = os.fsdecode(b"caf\xe9\n.png")
    note = hold_it(take(name=os.fsdecode(b"caf\xe9"), files={odd: b"art"}))
    assert read_held_note(folders / "held" / "caf") == note
    assert note.files[0].name == odd
    assert r"  caf\udce9\n.png" in _why(folders, "caf").splitlines()


def test_our_own_pictures_lie_beside_and_are_no_files_of_the_order(take, folders, pictures):
    archive, held = folders / "archive", folders / "held"
    note = hold(take(), (WHY,), soft=True, archive=archive, held=held, since=SINCE, pictures=pictures)
    assert note.pictures == ("fault_front.png", "spring menu_card.png")
    assert {file.name for file in note.files} == set(ART)
    assert all((held / "spring menu" / picture.name).read_bytes() == picture.read_bytes() for picture in pictures)
    assert "  fault_front.png  (made by the program)\n" in _why(folders)


def test_a_picture_never_takes_the_place_of_a_file(take, folders, pictures):
    """File systems that do not tell capitals apart would overwrite it."""
    order = take(files={"FAULT_front.png": b"art"})
    archive, held = folders / "archive", folders / "held"
    note = hold(order, (WHY,), soft=True, archive=archive, held=held, since=SINCE, pictures=pictures[:1])
    assert note.pictures == ("fault_front-2.png",)
    assert (held / "spring menu" / "FAULT_front.png").read_bytes() == b"art"


def test_the_note_gives_each_reason_with_its_code_and_side(take, hold_it, folders):
    finding = Finding(level=Level.HOLD, code="low-resolution", message=WHY, side=Side.BACK)
    hold_it(take(), finding, "The front and the back\nare one file.")
    note = read_held_note(folders / "held" / "spring menu")
    said = Finding(level=Level.REFUSE, code="order-unclear", message=r"The front and the back\nare one file.")
    assert note.reasons == (finding, said)


def test_a_lone_half_has_a_code_that_tells_what_is_missing(take, hold_it):
    note = hold_it(take(missing="back"), "a.png has waited 15 min for its back.")
    assert [reason.code for reason in note.reasons] == ["back-missing"]


def test_of_an_order_that_is_unclear_no_number_of_cards_is_noted(take, hold_it):
    assert hold_it(take(), "It is too small.").quantity > 0
    assert hold_it(replace(take(number=2), fault="menu 2x.png may say how many, or not."), "It may.").quantity == 0
