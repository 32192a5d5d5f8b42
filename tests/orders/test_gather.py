"""What lies in inbox and held, laid out for pairing: folders that came back, halves set aside, strangers."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.orders.claim import claim
from watcher.orders.held_note import FILE_NAME, WHY_NAME
from watcher.orders.say import why_it_waits
from watcher.outbox.hold import hold


@pytest.fixture
def held(settings) -> Path:
    return settings.folders.held


@pytest.fixture
def set_aside_now(gather_now, archive, held) -> Callable[..., None]:
    """Hold everything that lies in the inbox now, each order with its fault or for what is missing."""
    number = iter(range(1, 1000, 10))

    def do(*, soft: bool = False) -> None:
        for plan in gather_now().plans:
            (order,) = claim([plan], archive, next(number))
            hold(order, ("Look at it.",), soft=soft, archive=archive, held=held, since="2026-05-01T10:11:12+02:00")

    return do


def _back(held: Path, inbox: Path, name: str, new_name: str | None = None) -> Path:
    target = inbox / (new_name or name)
    (held / name).rename(target)
    return target


def _art(plan) -> dict[str, str]:
    return {str(piece.side): piece.found.file.name for piece in plan.pieces}


# -- the inbox ---------------------------------------------------------------------------------------------------------


def test_what_has_rested_is_laid_out(drop, gather_now, make):
    drop("a_front.png", "a_back.png", **{"b.pdf": make.pdf(2), "c.zip": make.packed({"1.png": b"1"})})
    look = gather_now()
    assert {plan.name: (plan.fault, plan.missing, plan.arriving) for plan in look.plans} == {
        "a": (None, None, False),
        "b": (None, None, False),
        "c": (None, "back", False),
    }
    assert len(look.gathered.containers) == 2


def test_an_inside_that_is_not_known_is_asked_for_and_waited_for(drop, gather_now, make):
    """Its back may be the other half of what lies beside it."""
    drop("a_front.png", **{"a.zip": make.packed({"back.png": b"1"})})
    look = gather_now(known=False)
    assert [file.name for file in look.gathered.to_look] == ["a.zip"]
    assert look.by_name["a"].arriving


def test_an_inside_that_cannot_be_used_is_a_fault(drop, gather_now, make):
    drop(**{"a.zip": make.packed({"a.psd": b"1"})})
    fault = gather_now().by_name["a"].fault
    assert fault.startswith("a.zip holds a.psd, which cannot be used")


def test_a_zip_whose_pages_belong_to_no_order_is_a_fault(drop, gather_now, make):
    drop(**{"a.zip": make.packed({"1.png": b"1", "2.png": b"2", "front.png": b"3"})})
    (plan,) = gather_now().plans
    assert "holds 1.png, 2.png, front.png" in plan.fault
    assert [file.name for file in plan.files] == ["a.zip"]


@pytest.mark.parametrize("name", ["notes.txt", "a_front.gif", "a_front", "a.ai", "a_front.png.exe"])
def test_a_kind_that_is_not_taken_is_a_fault_that_lists_those_that_are(drop, gather_now, name):
    drop(**{name: b"something"})
    (plan,) = gather_now().plans
    assert plan.fault == f"{name} is not a kind of file that can be printed. Export PNG, JPEG, TIFF, WebP, PDF or ZIP."


def test_a_stranger_does_not_hold_the_order_beside_it(drop, gather_now):
    drop("a_front.png", "a_back.png", **{"a_front.psd": b"layers"})
    assert sorted(plan.fault is None for plan in gather_now().plans) == [False, True]


@pytest.mark.parametrize(
    "name",
    [
        "a_front (conflicted copy 2026-05-01).png",
        "a_front.sync-conflict-20260501-101112-ABCDEFG.png",
        "a_front (Case Conflict).png",
    ],
)
def test_a_conflict_copy_is_never_paired(drop, gather_now, name):
    drop("a_front.png", "a_back.png", name)
    plans = gather_now().plans
    (kept,) = (plan for plan in plans if plan.fault)
    assert [file.name for file in kept.files] == [name]
    assert "two versions were saved. Keep the one you mean." in kept.fault
    (pair,) = (plan for plan in plans if not plan.fault)
    assert _art(pair) == {"front": "a_front.png", "back": "a_back.png"}


def test_folders_and_links_that_are_none_of_ours_are_left_alone(drop, inbox, gather_now, tmp_path):
    drop("holiday/photo.heic")
    (inbox / "link.png").symlink_to(tmp_path / "settings.toml")
    look = gather_now()
    assert look.plans == ()
    assert look.gathered.left_alone == (
        "holiday: a folder that is no card's, without art in it. Put PNG, JPEG, TIFF, WebP, PDF or ZIP into it, or take"
        " it away",
        "link.png: a link, a device or a folder that may not be read",
    )


# -- files that are not whole -----------------------------------------------------------------------------------------


def test_a_file_that_is_not_whole_is_waited_for(drop, gather_now, make):
    drop("a_back.png", **{"a_front.png": make.png()[:-10]})
    look = gather_now(stuck_s=599.0)
    assert look.by_name["a"].arriving
    assert look.gathered.arriving == ("a_front.png",)
    assert [plan.fault for plan in look.plans] == [None]


def test_a_file_that_is_never_whole_is_given_up(drop, gather_now, make):
    drop("a_back.png", **{"a_front.png": make.png()[:-10]})
    faults = [plan.fault for plan in gather_now(stuck_s=600.0).plans]
    assert faults == [None, "a_front.png is not complete: its end is missing. Export or copy it again."]


def test_a_file_that_has_not_rested_is_waited_for_however_long(drop, gather_now, make):
    drop(**{"a_front.png": make.png()[:-10], "a_back.png": make.png()[:-10]})
    look = gather_now(quiet_s=1e9, stuck_s=1e6)
    assert look.plans == ()
    assert sorted(look.gathered.arriving) == ["a_back.png", "a_front.png"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read_is_left_alone_and_said(drop, gather_now):
    (path,) = drop("a_front.png")
    path.chmod(0)
    look = gather_now(stuck_s=600.0)
    assert look.gathered.left_alone == ("a_front.png: may not be read; give the service the right to read it",)


def test_a_file_that_may_not_be_read_is_said_as_root_too(drop, gather_now, make, monkeypatch):
    drop(**{"a_front.png": make.png()[:-10]})
    monkeypatch.setattr(os, "access", lambda *_: False)
    look = gather_now(stuck_s=600.0)
    assert look.plans == ()
    assert look.gathered.left_alone == ("a_front.png: may not be read; give the service the right to read it",)


# -- folders that came back -------------------------------------------------------------------------------------------


def test_a_folder_that_came_back_is_tried_again(drop, gather_now, set_aside_now, held, inbox):
    drop("a_front.png", "a_back.png")
    set_aside_now()
    _back(held, inbox, "a")
    (plan,) = gather_now().plans
    assert _art(plan) == {"front": "a_front.png", "back": "a_back.png"}
    assert (plan.fault, plan.missing, plan.arriving, plan.accepted) == (None, None, False, False)


def test_its_card_is_that_of_the_folder_it_once_lay_in(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png")
    set_aside_now()
    _back(held, inbox, "a")
    (plan,) = gather_now().plans
    assert (plan.wishes.card, plan.folder) == ("tag", "tag")


def test_it_may_be_called_anything(drop, gather_now, set_aside_now, held, inbox):
    drop("a_front.png", "a_back.png")
    set_aside_now()
    _back(held, inbox, "a", "a (1) try again")
    (plan,) = gather_now().plans
    assert (plan.name, plan.accepted) == ("a", False)


@pytest.mark.parametrize("name", ["a ok", "A OK", "a Ok"])
def test_one_called_ok_is_accepted(drop, gather_now, set_aside_now, held, inbox, name):
    drop("a_front.png", "a_back.png")
    set_aside_now(soft=True)
    _back(held, inbox, "a", name)
    (plan,) = gather_now().plans
    assert plan.accepted


def test_one_that_came_back_in_part_is_waited_for(drop, gather_now, set_aside_now, held, inbox, tmp_path):
    """A slow sync brings the files one by one."""
    drop("tag/a.png", **{"tag/a.toml": b"quantity = 3"})
    set_aside_now()
    (held / "a" / "a.toml").rename(tmp_path / "on its way")
    folder = _back(held, inbox, "a")
    assert gather_now().by_name["a"].arriving
    (tmp_path / "on its way").rename(folder / "a.toml")
    plan = gather_now().by_name["a"]
    assert (plan.arriving, plan.wishes.quantity) == (False, 3)


def test_one_in_part_whose_files_got_other_names_is_waited_for_too(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png", **{"tag/a.toml": b"quantity = 3"})
    set_aside_now()
    folder = _back(held, inbox, "a")
    (folder / "a.toml").unlink()
    (folder / "a.png").rename(folder / "b.png")
    assert gather_now().by_name["b"].arriving


def test_one_in_part_is_taken_as_it_is_in_the_end(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png", **{"tag/a.toml": b"quantity = 3"})
    set_aside_now()
    folder = _back(held, inbox, "a")
    (folder / "a.toml").unlink()
    plan = gather_now(impatient=True).by_name["a"]
    assert (plan.arriving, plan.wishes.quantity) == (False, 10)


def test_a_file_in_it_may_get_the_name_it_should_have_had(drop, gather_now, set_aside_now, held, inbox):
    drop("a.png", "a_back.png")
    set_aside_now()
    folder = _back(held, inbox, "a")
    (folder / "a.png").rename(folder / "a_front.png")
    (plan,) = gather_now().plans
    assert (plan.fault, plan.missing, plan.arriving) == (None, None, False)


def test_its_notes_are_no_files_of_the_order(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png")
    set_aside_now()
    folder = _back(held, inbox, "a")
    assert {FILE_NAME, WHY_NAME} <= {path.name for path in folder.iterdir()}
    (plan,) = gather_now().plans
    assert [file.name for file in plan.files] == ["a.png"]


def test_a_note_without_its_files_keeps_nothing_waiting(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png")
    set_aside_now()
    folder = _back(held, inbox, "a")
    (folder / "a.png").unlink()
    drop("b_front.png", "b_back.png")
    look = gather_now()
    assert {plan.name: plan.arriving for plan in look.plans} == {"b": False}
    assert look.gathered.left_alone == ()


def test_a_note_that_cannot_be_read_leaves_its_folder_alone(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png")
    set_aside_now()
    folder = _back(held, inbox, "a")
    (folder / FILE_NAME).write_bytes(b"order = ")
    look = gather_now()
    assert look.plans == ()
    (said,) = look.gathered.left_alone
    assert said.startswith("a: its held.toml is damaged; put the art in it into the inbox itself")


def test_an_order_of_a_zip_brings_back_its_own_members_alone(drop, gather_now, set_aside_now, held, inbox, make):
    """The others of the ZIP have been made since: they must not be made twice."""
    members = {"a_x1_front.png": b"1", "a_x2_back.png": b"2", "b_front.png": b"3", "b_back.png": b"4"}
    drop(**{"week.zip": make.packed(members)})
    (faulty,) = (plan for plan in gather_now().plans if plan.fault)
    (order,) = claim([faulty], inbox.parent / "archive", 1)
    hold(order, (order.fault,), soft=False, archive=inbox.parent / "archive", held=held, since="2026-05-01")
    _back(held, inbox, "a")
    assert [plan.name for plan in gather_now().plans] == ["a"]


def test_the_ticket_of_a_zip_comes_back_with_its_order(drop, gather_now, set_aside_now, held, inbox, make):
    drop(**{"tag/a.zip": make.packed({"1.png": b"1", "job.toml": b"quantity = 77"})})
    set_aside_now(soft=True)
    _back(held, inbox, "a", "a ok")
    (plan,) = gather_now().plans
    assert plan.wishes.quantity == 77


# -- what comes back by itself ----------------------------------------------------------------------------------------


@pytest.fixture
def lone_front(drop, set_aside_now) -> None:
    """A front that has waited for its back and was set aside."""
    drop("a_front.png")
    set_aside_now()


def test_a_half_set_aside_is_found_by_its_other_side(lone_front, drop, gather_now, held):
    drop("a_back.png")
    (plan,) = gather_now().plans
    assert _art(plan) == {"front": "a_front.png", "back": "a_back.png"}
    assert [piece.found.file.path.parent for piece in plan.pieces][0] == held / "a"


def test_it_stays_where_it_is_until_then(lone_front, gather_now):
    assert gather_now().plans == ()


@pytest.mark.parametrize("name", ["a_front.png", "b_back.png", "a.toml", "tag/a_back.png", "a.png"])
def test_it_is_found_by_nothing_else(lone_front, drop, gather_now, name):
    drop(**{name: b"quantity = 3"}) if name.endswith("toml") else drop(name)
    (plan,) = gather_now().plans
    assert all("held" not in str(file.path) for file in plan.files)


def test_a_whole_new_pair_leaves_an_older_half_where_it_is(lone_front, drop, gather_now, make):
    """The person sent both again: the new front is meant, and two fronts would be held."""
    drop("a_back.png", **{"a_front.png": make.png("a newer front")})
    (plan,) = gather_now().plans
    assert (plan.fault, plan.missing) == (None, None)
    assert all("held" not in str(file.path) for file in plan.files)


def test_a_back_set_aside_is_found_by_a_one_page_pdf(drop, set_aside_now, gather_now, make):
    """A PDF of one page is a front, without a side word too."""
    drop("a_back.png")
    set_aside_now()
    drop(**{"a.pdf": make.pdf(1)})
    (plan,) = gather_now().plans
    assert (_art(plan), plan.missing) == ({"front": "a.pdf", "back": "a_back.png"}, None)


def test_a_half_in_a_zip_is_found_again(drop, set_aside_now, gather_now, make):
    drop(**{"a.zip": make.packed({"1.png": b"1"})})
    set_aside_now()
    drop(**{"a (1).zip": make.packed({"2.png": b"2"})})
    (plan,) = gather_now().plans
    assert (_art(plan), plan.missing) == ({"front": "a.zip", "back": "a (1).zip"}, None)


def test_a_ticket_set_aside_is_found_by_any_art_of_its_name(drop, set_aside_now, gather_now):
    drop(**{"tag/a.toml": b"quantity = 5"})
    set_aside_now()
    drop("tag/a.png")
    (plan,) = gather_now().plans
    assert (plan.wishes.quantity, plan.missing) == (5, None)


def test_a_mended_side_finds_the_other_one_of_its_order(drop, set_aside_now, gather_now, held):
    """`why.txt` says: put the mended files into the inbox under the same names. The sound front is not sent again."""
    drop("a_front.png", "a_back.png")
    set_aside_now()
    drop("a_back.png")
    (plan,) = gather_now().plans
    assert _art(plan) == {"front": "a_front.png", "back": "a_back.png"}
    assert {str(piece.side): piece.found.file.path.parent.name for piece in plan.pieces} == {
        "front": "a",
        "back": "inbox",
    }


@pytest.mark.parametrize("name", ["b_back.png", "a.toml", "tag/a_back.png"])
def test_what_is_no_mended_file_finds_nothing(drop, set_aside_now, gather_now, name):
    drop("a_front.png", "a_back.png")
    set_aside_now()
    drop(**{name: b"quantity = 3"}) if name.endswith("toml") else drop(name)
    assert all("held" not in str(file.path) for plan in gather_now().plans for file in plan.files)


def test_a_folder_renamed_ok_in_held_is_taken_there(drop, set_aside_now, gather_now, held):
    drop("tag/a.png")
    set_aside_now(soft=True)
    (held / "a").rename(held / "A OK")
    (plan,) = gather_now().plans
    assert (plan.accepted, plan.wishes.card) == (True, "tag")


def test_one_renamed_ok_with_a_file_missing_is_waited_for(drop, set_aside_now, gather_now, held):
    drop("a_front.png", "a_back.png")
    set_aside_now(soft=True)
    (held / "a").rename(held / "a ok")
    (held / "a ok" / "a_back.png").unlink()
    assert gather_now().plans == ()


def test_one_renamed_ok_whose_files_are_still_coming_is_waited_for(drop, set_aside_now, gather_now, held, make):
    """A sync program may do a renaming as new files that arrive slowly."""
    drop("tag/a.png")
    set_aside_now(soft=True)
    (held / "a").rename(held / "a ok")
    (held / "a ok" / "a.png").write_bytes(make.png()[:-10])
    look = gather_now()
    assert look.plans == ()
    assert look.gathered.arriving == ("a.png",)


@pytest.mark.parametrize("name", [".DS_Store", "Thumbs.db", "desktop.ini", "~lock", "a.png.part"])
def test_what_file_managers_add_to_a_held_folder_is_no_file_of_the_order(drop, set_aside_now, gather_now, held, name):
    drop("a_front.png", "a_back.png")
    set_aside_now(soft=True)
    folder = (held / "a").rename(held / "a ok")
    (folder / name).write_bytes(b"x")
    (plan,) = gather_now().plans
    assert len(plan.files) == 2
    (folder / "a_back.png").unlink()
    assert gather_now().plans == ()  # nor does it stand for one that is missing


def test_links_in_a_held_folder_are_not_followed(drop, set_aside_now, gather_now, held, tmp_path):
    drop("tag/a.png")
    set_aside_now(soft=True)
    folder = (held / "a").rename(held / "a ok")
    (folder / "b.png").symlink_to(tmp_path / "menu-back.png")
    (plan,) = gather_now().plans
    assert [file.name for file in plan.files] == ["a.png"]


def test_without_a_held_folder_nothing_comes_back(gather_now, held):
    shutil.rmtree(held)
    assert gather_now().plans == ()


# -- mended art that arrives in pieces ---------------------------------------------------------------------------------


@pytest.fixture
def pair_aside(drop, set_aside_now) -> None:
    """A pair with a job ticket that was set aside."""
    drop("a_front.png", "a_back.png", **{"a.toml": b"quantity = 6"})
    set_aside_now()


@pytest.mark.parametrize("name", ["a_front.png", "a_front.jpg", "a_front (1).png", "A_FRONT.jpeg"])
def test_a_mended_side_waits_for_the_other_whatever_its_ending(pair_aside, drop, gather_now, name, make):
    drop(**{name: make.png("mended")})
    (plan,) = gather_now().plans
    assert (plan.waits_for, plan.fault, plan.missing) == ("a new back", None, None)
    assert why_it_waits(plan).startswith("waits for a new back; after a while that in held/a is used")


def test_what_waits_keeps_the_job_ticket_of_its_order(pair_aside, drop, gather_now, make):
    drop(**{"a_front.png": make.png("mended")})
    (plan,) = gather_now().plans
    assert plan.wishes.quantity == 6


@pytest.mark.parametrize("names", [("a_front.png", "a_back.png"), ("a_front.jpg", "a_back.jpeg")])
def test_both_sides_mended_wait_for_nothing(pair_aside, drop, gather_now, make, names):
    drop(**{name: make.png(f"mended {name}") for name in names})
    (plan,) = gather_now().plans
    assert (plan.waits_for, plan.earlier_pieces) == (None, ())
    assert plan.wishes.quantity == 6  # the ticket was not sent again


def test_a_whole_new_document_waits_for_nothing(pair_aside, drop, gather_now, make):
    drop(**{"a.pdf": make.pdf(2)})
    (plan,) = gather_now().plans
    assert (plan.waits_for, {piece.found.file.name for piece in plan.pieces}) == (None, {"a.pdf"})


def test_a_folder_moved_back_says_that_its_side_is_wanted(pair_aside, drop, gather_now, held, inbox, make):
    drop(**{"a_front.png": make.png("mended")})
    _back(held, inbox, "a")
    (plan,) = gather_now().plans
    assert (plan.waits_for, plan.fault, plan.arriving) == (None, None, False)
    assert [piece.found.file.path.parent.name for piece in plan.pieces] == ["inbox", "a"]
    assert [file.name for file in plan.left_over] == ["a_front.png"]


def test_a_folder_moved_back_beside_all_new_art_is_never_guessed(pair_aside, drop, gather_now, held, inbox, make):
    drop(**{"a_front.png": make.png("new"), "a_back.png": make.png("also new")})
    _back(held, inbox, "a")
    (plan,) = gather_now().plans
    assert plan.fault.startswith("There are two different files for the ")
    assert " of held/a" in plan.fault


def test_a_mended_side_of_a_zip_waits_for_the_other(drop, set_aside_now, gather_now, make):
    drop(**{"a.zip": make.packed({"a_front.png": b"1", "a_back.png": b"2"})})
    set_aside_now()
    drop(**{"a_front.png": make.png("mended")})
    (plan,) = gather_now().plans
    assert plan.waits_for == "a new back"
    assert _art(plan) == {"front": "a_front.png", "back": "a.zip"}


def test_a_side_mended_in_a_zip_waits_for_the_other(pair_aside, drop, gather_now, make):
    drop(**{"week.zip": make.packed({"a_front.png": b"1"})})
    (plan,) = gather_now().plans
    assert (plan.waits_for, _art(plan)) == ("a new back", {"front": "week.zip", "back": "a_back.png"})


def test_a_mended_design_waits_for_the_others_of_its_order(drop, set_aside_now, gather_now, make):
    names = [f"a_{number}_{side}.png" for number in (1, 2, 3) for side in ("front", "back")]
    drop(*names, **{"a.toml": b"quantity = 6"})
    set_aside_now()
    drop(**{"a_2_front.jpg": make.png("mended")})
    (plan,) = gather_now().plans
    assert plan.waits_for == "new art for the designs 1 to 3"
    drop(**{"a_2_back.png": make.png("mended too")})
    (plan,) = gather_now().plans
    assert (plan.name, plan.wishes.quantity, plan.waits_for) == ("a", 6, "new art for the designs 1 and 3")
    assert len(plan.pieces) == 6


def test_designs_that_were_missing_do_not_bring_old_ones_at_once(drop, set_aside_now, gather_now, make):
    """All are exported again, and the last of them are still on their way."""
    drop("a_1_front.png", "a_1_back.png", "a_2_front.png", "a_2_back.png", **{"a.toml": b"designs = 3"})
    set_aside_now()
    fresh = {f"a_{number}_{side}.png": make.png(f"{number} {side}") for number in (1, 3) for side in ("front", "back")}
    drop(**fresh)
    (plan,) = gather_now().plans
    assert (plan.missing, plan.waits_for) == (None, "a new front and back of design 2")


def test_a_half_that_only_waited_is_used_at_once(lone_front, drop, gather_now):
    drop("a_back.png")
    (plan,) = gather_now().plans
    assert (plan.waits_for, plan.missing) == (None, None)
    assert [str(piece.side) for piece in plan.earlier_pieces] == ["front"]


def test_art_of_which_the_earlier_cannot_be_used_waits_like_any_half(drop, set_aside_now, gather_now, make):
    drop(**{"a.pdf": make.pdf(3)})
    set_aside_now()
    drop("a_front.png")
    (plan,) = gather_now().plans
    assert (plan.missing, plan.fault, plan.waits_for) == ("back", None, None)


def test_a_folder_moved_back_is_whole_without_what_newer_files_have_come_for(
    pair_aside, drop, gather_now, held, inbox, make
):
    """A stop came after the earlier front had been put away and before the order was taken."""
    drop(**{"a_front.png": make.png("mended")})
    (_back(held, inbox, "a") / "a_front.png").unlink()
    (plan,) = gather_now().plans
    assert (plan.arriving, plan.missing, plan.waits_for) == (False, None, None)
