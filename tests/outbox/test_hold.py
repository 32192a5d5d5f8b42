"""`held/ORDER/`: appears whole, says why in plain words, and knows its way back."""

import os
from dataclasses import replace
from pathlib import Path

import pytest

from tests.outbox.a_held_order import ART, SINCE, WHY
from watcher.orders.held_note import HeldFile, HeldFor, read_held_note
from watcher.orders.model import KeptFile, Order
from watcher.outbox.hold import hold, ways_out
from watcher.terms import Finding, Level, Side


def _why(shelves: Path, name: str = "spring menu") -> str:
    return (shelves / "held" / name / "why.txt").read_text("utf-8")


# -- the folder --------------------------------------------------------------------------------------------------------


def test_the_folder_holds_art_reason_and_note(take, hold_it, contents, shelves):
    note = hold_it(take())
    assert sorted(contents()) == [
        "held/spring menu/held.toml",
        "held/spring menu/spring menu_back.png",
        "held/spring menu/spring menu_front.png",
        "held/spring menu/why.txt",
    ]
    assert read_held_note(shelves / "held" / "spring menu") == note
    assert list((shelves / "archive").iterdir()) == []


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


@pytest.mark.parametrize(
    ("name", "folder"), [("../../etc/passwd", "etcpasswd"), ("a\nb", "ab"), ("con", "con_"), ("...", "order")]
)
def test_no_name_leaves_the_shelf(take, hold_it, shelves, name, folder):
    note = hold_it(take(name=name, files={"a.png": b"a"}))
    assert note.folder == folder
    assert [path.name for path in (shelves / "held").iterdir()] == [folder]
    assert read_held_note(shelves / "held" / folder) == note


def test_a_name_that_is_taken_gets_a_number(take, hold_it, shelves):
    for number in (1, 2, 3):
        hold_it(take(number=number))
    assert sorted(path.name for path in (shelves / "held").iterdir()) == [
        "spring menu",
        "spring menu-2",
        "spring menu-3",
    ]
    assert "spring menu-3 ok" in _why_soft(take, hold_it, shelves)


def _why_soft(take, hold_it, shelves) -> str:
    (shelves / "held" / "spring menu-3").rename(shelves / "inbox" / "gone")
    hold_it(take(number=4), soft=True)
    return _why(shelves, "spring menu-3")


def test_what_a_try_left_beside_the_art_is_not_held(take, hold_it, contents, shelves):
    """The card's common back is copied beside the art when the order is made; it is no part of what came."""
    order = take()
    (shelves / "archive" / ".taking-1" / "common-back.png").write_bytes(b"common")
    hold_it(order)
    assert "held/spring menu/common-back.png" not in contents()


def test_names_of_any_bytes_are_held_and_known_again(take, hold_it, shelves):
    odd = os.fsdecode(b"caf\xe9\n.png")
    note = hold_it(take(name=os.fsdecode(b"caf\xe9"), files={odd: b"art"}))
    assert read_held_note(shelves / "held" / "caf") == note
    assert note.files[0].name == odd
    assert r"  caf\udce9\n.png" in _why(shelves, "caf").splitlines()


def test_our_own_pictures_lie_beside_and_are_no_files_of_the_order(take, shelves, pictures):
    archive, held = shelves / "archive", shelves / "held"
    note = hold(take(), (WHY,), soft=True, archive=archive, held=held, since=SINCE, pictures=pictures)
    assert note.pictures == ("fault_front.png", "spring menu_card.png")
    assert {file.name for file in note.files} == set(ART)
    assert all((held / "spring menu" / picture.name).read_bytes() == picture.read_bytes() for picture in pictures)
    assert "  fault_front.png  (made by the program)\n" in _why(shelves)


def test_a_picture_never_takes_the_place_of_a_file(take, shelves, pictures):
    """File systems that do not tell capitals apart would overwrite it."""
    order = take(files={"FAULT_front.png": b"art"})
    archive, held = shelves / "archive", shelves / "held"
    note = hold(order, (WHY,), soft=True, archive=archive, held=held, since=SINCE, pictures=pictures[:1])
    assert note.pictures == ("fault_front-2.png",)
    assert (held / "spring menu" / "FAULT_front.png").read_bytes() == b"art"


# -- why.txt -----------------------------------------------------------------------------------------------------------


def test_why_reads_well(take, hold_it, shelves):
    hold_it(take(folder="menu"), WHY, "The front and the back have different shapes.", soft=True)
    assert _why(shelves) == (
        "spring menu was set aside on Fri 1 May 2026, 10:11.\n"
        "\n"
        "Why\n"
        "  - spring menu_back.png is 408 x 555 px, 150 dpi at 69 x 94 mm with bleed; 300 dpi is needed.\n"
        "    Export at 815 x 1111 px or more.\n"
        "  - The front and the back have different shapes.\n"
        "\n"
        "What you can do\n"
        "  - Put the mended files into inbox/menu, under the same names. The rest is taken from this\n"
        "    folder when nothing newer of it has come after a while; when you send no more, move this\n"
        "    folder back into the inbox as well: it is made at once.\n"
        "  - Or put them into this folder, in place of those that are here, and move the whole folder\n"
        "    back into the inbox: it is tried again.\n"
        '  - Or rename this folder to "spring menu ok": it is made anyway, just as is said above.\n'
        "  - Or delete this folder, if you no longer want it.\n"
        "\n"
        "In this folder\n"
        "  spring menu_front.png\n"
        "  spring menu_back.png\n"
    )


def test_what_cannot_be_accepted_does_not_offer_it(take, hold_it, shelves):
    hold_it(take(), "spring menu_back.png is a damaged PNG. Export it again.")
    assert " ok" not in _why(shelves)


def test_art_that_newer_files_replaced_is_neither_accepted_nor_mended(take, hold_it):
    note = replace(hold_it(take(), soft=True), replaced=True)
    assert ways_out(note) == [
        "Delete this folder, if you no longer want it.",
        "Or move it back into the inbox: it is tried again.",
    ]


def test_only_the_customers_picture_is_sent_not_the_one_that_shows_what_was_found(take, hold_it):
    pictures = ("menu_card.png", "menu_why.png")
    note = replace(hold_it(take()), needs=HeldFor.YES, pictures=pictures)
    assert ways_out(note)[0] == "Send menu_card.png to the customer."


def test_the_note_gives_each_reason_with_its_code_and_side(take, hold_it, shelves):
    finding = Finding(level=Level.HOLD, code="low-resolution", message=WHY, side=Side.BACK)
    hold_it(take(), finding, "The front and the back\nare one file.")
    note = read_held_note(shelves / "held" / "spring menu")
    said = Finding(level=Level.REFUSE, code="order-unclear", message=r"The front and the back\nare one file.")
    assert note.reasons == (finding, said)


def test_a_lone_half_has_a_code_that_tells_what_is_missing(take, hold_it):
    note = hold_it(take(missing="back"), "a.png has waited 15 min for its back.")
    assert [reason.code for reason in note.reasons] == ["back-missing"]


@pytest.mark.parametrize("side", ["front", "back"])
def test_a_lone_half_is_told_that_its_other_side_finds_it(take, hold_it, shelves, side):
    hold_it(take(missing=side, folder="menu"), f"a.png has waited 15 min for its {side}.")
    assert f"  - Put the {side} into inbox/menu, under the name that is said above: the two" in _why(shelves)
    assert "mended" not in _why(shelves)


def test_a_file_of_another_kind_is_not_asked_for_under_the_same_name(take, hold_it, shelves):
    hold_it(replace(take(), fault_code="file-unusable"), "menu.psd is not a kind of file that can be printed.")
    text = _why(shelves)
    assert "Put what is to be printed into inbox" in text
    assert "same name" not in text


def test_of_an_order_that_is_unclear_no_number_of_cards_is_noted(take, hold_it):
    assert hold_it(take(), "It is too small.").quantity > 0
    assert hold_it(replace(take(number=2), fault="menu 2x.png may say how many, or not."), "It may.").quantity == 0


def test_a_lone_ticket_is_told_that_its_art_finds_it(take, hold_it, shelves):
    hold_it(take(missing="art", files={"a.toml": b""}), "The job ticket a.toml has waited 15 min for its art.")
    assert "  - Put the art into inbox: it finds this job ticket by itself.\n" in _why(shelves)


def test_a_long_name_is_never_parted(take, hold_it, shelves):
    """Or it could not be searched for."""
    name = "a-" * 60 + "front.png"
    hold_it(take(files={name: b"a"}), f"{name} cannot be used.")
    assert sum(name in line for line in _why(shelves).splitlines()) == 2


def test_nothing_from_a_name_forges_a_line(take, hold_it, shelves):
    hold_it(take(name="a\nb", folder="x\ny"), "a\nb is bad.\u2028All is well.", soft=True)
    assert not {"b", "b is bad.", "All is well."} & {line.strip(" -") for line in _why(shelves, "ab").splitlines()}
    assert r"a\nb was set aside" in _why(shelves, "ab")
