"""Mended art of a held order that arrives in pieces."""

import pytest

from tests.orders.an_order import art_of, put_back
from watcher.orders.say import why_it_waits


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
    put_back(held, inbox, "a")
    (plan,) = gather_now().plans
    assert (plan.waits_for, plan.fault, plan.arriving) == (None, None, False)
    assert [piece.found.file.path.parent.name for piece in plan.pieces] == ["inbox", "a"]
    assert [file.name for file in plan.left_over] == ["a_front.png"]


def test_a_folder_moved_back_beside_all_new_art_is_never_guessed(pair_aside, drop, gather_now, held, inbox, make):
    drop(**{"a_front.png": make.png("new"), "a_back.png": make.png("also new")})
    put_back(held, inbox, "a")
    (plan,) = gather_now().plans
    assert plan.fault.startswith("There are two different files for the ")
    assert " of held/a" in plan.fault


def test_a_mended_side_of_a_zip_waits_for_the_other(drop, set_aside_now, gather_now, make):
    drop(**{"a.zip": make.packed({"a_front.png": b"1", "a_back.png": b"2"})})
    set_aside_now()
    drop(**{"a_front.png": make.png("mended")})
    (plan,) = gather_now().plans
    assert plan.waits_for == "a new back"
    assert art_of(plan) == {"front": "a_front.png", "back": "a.zip"}


def test_a_side_mended_in_a_zip_waits_for_the_other(pair_aside, drop, gather_now, make):
    drop(**{"week.zip": make.packed({"a_front.png": b"1"})})
    (plan,) = gather_now().plans
    assert (plan.waits_for, art_of(plan)) == ("a new back", {"front": "week.zip", "back": "a_back.png"})


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
    (put_back(held, inbox, "a") / "a_front.png").unlink()
    (plan,) = gather_now().plans
    assert (plan.arriving, plan.missing, plan.waits_for) == (False, None, None)
