"""The text of `why.txt`, as it lies in a held folder."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests.outbox.a_held_order import WHY
from watcher.errors import NameUnclear
from watcher.orders.held_note import HeldFor
from watcher.outbox.why import ways_out
from watcher.terms import Finding, Level


def _why(folders: Path, name: str = "spring menu") -> str:
    return (folders / "held" / name / "why.txt").read_text("utf-8")


def test_why_reads_well(take, hold_it, folders):
    hold_it(take(folder="menu"), WHY, "The front and the back have different shapes.", soft=True)
    assert _why(folders) == (
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


@pytest.mark.parametrize(("folder", "into"), [("menu", "inbox/menu"), (None, "inbox")])
def test_files_whose_names_are_unclear_are_to_be_named(take, hold_it, folder, into):
    unclear = Finding(level=Level.REFUSE, code=NameUnclear.code, message="menu.png names no side.")
    assert ways_out(hold_it(take(folder=folder), unclear))[:2] == [
        "Do what is said above with the files in this folder, then move the whole folder back into the inbox.",
        f"Or put the files, named so, into {into}, and delete this folder.",
    ]


def test_what_cannot_be_accepted_does_not_offer_it(take, hold_it, folders):
    hold_it(take(), "spring menu_back.png is a damaged PNG. Export it again.")
    assert " ok" not in _why(folders)


@pytest.mark.parametrize("side", ["front", "back"])
def test_a_lone_half_is_told_that_its_other_side_finds_it(take, hold_it, folders, side):
    hold_it(take(missing=side, folder="menu"), f"a.png has waited 15 min for its {side}.")
    assert f"  - Put the {side} into inbox/menu, under the name that is said above: the two" in _why(folders)
    assert "mended" not in _why(folders)


def test_a_file_of_another_kind_is_not_asked_for_under_the_same_name(take, hold_it, folders):
    hold_it(replace(take(), fault_code="file-unusable"), "menu.psd is not a kind of file that can be printed.")
    text = _why(folders)
    assert "Put what is to be printed into inbox" in text
    assert "same name" not in text


def test_a_lone_ticket_is_told_that_its_art_finds_it(take, hold_it, folders):
    hold_it(take(missing="art", files={"a.toml": b""}), "The job ticket a.toml has waited 15 min for its art.")
    assert "  - Put the art into inbox: it finds this job ticket by itself.\n" in _why(folders)


def test_a_long_name_is_never_parted(take, hold_it, folders):
    """Or it could not be searched for."""
    name = "a-" * 60 + "front.png"
    hold_it(take(files={name: b"a"}), f"{name} cannot be used.")
    assert sum(name in line for line in _why(folders).splitlines()) == 2


def test_nothing_from_a_name_forges_a_line(take, hold_it, folders):
    hold_it(take(name="a\nb", folder="x\ny"), "a\nb is bad.\u2028All is well.", soft=True)
    assert not {"b", "b is bad.", "All is well."} & {line.strip(" -") for line in _why(folders, "ab").splitlines()}
    assert r"a\nb was set aside" in _why(folders, "ab")
