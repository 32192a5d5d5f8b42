"""Held folders that came back into the inbox, laid out for pairing."""

import pytest

from tests.orders.an_order import art_of, put_back
from watcher.orders.claim import claim
from watcher.orders.held_note import FILE_NAME, WHY_NAME
from watcher.outbox.hold import hold


def test_a_folder_that_came_back_is_tried_again(drop, gather_now, set_aside_now, held, inbox):
    drop("a_front.png", "a_back.png")
    set_aside_now()
    put_back(held, inbox, "a")
    (plan,) = gather_now().plans
    assert art_of(plan) == {"front": "a_front.png", "back": "a_back.png"}
    assert (plan.fault, plan.missing, plan.arriving, plan.accepted) == (None, None, False, False)


def test_its_card_is_that_of_the_folder_it_once_lay_in(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png")
    set_aside_now()
    put_back(held, inbox, "a")
    (plan,) = gather_now().plans
    assert (plan.wishes.card, plan.folder) == ("tag", "tag")


def test_it_may_be_called_anything(drop, gather_now, set_aside_now, held, inbox):
    drop("a_front.png", "a_back.png")
    set_aside_now()
    put_back(held, inbox, "a", "a (1) try again")
    (plan,) = gather_now().plans
    assert (plan.name, plan.accepted) == ("a", False)


@pytest.mark.parametrize("name", ["a ok", "A OK", "a Ok"])
def test_one_called_ok_is_accepted(drop, gather_now, set_aside_now, held, inbox, name):
    drop("a_front.png", "a_back.png")
    set_aside_now(soft=True)
    put_back(held, inbox, "a", name)
    (plan,) = gather_now().plans
    assert plan.accepted


def test_one_that_came_back_in_part_is_waited_for(drop, gather_now, set_aside_now, held, inbox, tmp_path):
    """A slow sync brings the files one by one."""
    drop("tag/a.png", **{"tag/a.toml": b"quantity = 3"})
    set_aside_now()
    (held / "a" / "a.toml").rename(tmp_path / "on its way")
    folder = put_back(held, inbox, "a")
    assert gather_now().by_name["a"].arriving
    (tmp_path / "on its way").rename(folder / "a.toml")
    plan = gather_now().by_name["a"]
    assert (plan.arriving, plan.wishes.quantity) == (False, 3)


def test_one_in_part_whose_files_got_other_names_is_waited_for_too(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png", **{"tag/a.toml": b"quantity = 3"})
    set_aside_now()
    folder = put_back(held, inbox, "a")
    (folder / "a.toml").unlink()
    (folder / "a.png").rename(folder / "b.png")
    assert gather_now().by_name["b"].arriving


def test_one_in_part_is_taken_as_it_is_in_the_end(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png", **{"tag/a.toml": b"quantity = 3"})
    set_aside_now()
    folder = put_back(held, inbox, "a")
    (folder / "a.toml").unlink()
    plan = gather_now(impatient=True).by_name["a"]
    assert (plan.arriving, plan.wishes.quantity) == (False, 10)


def test_a_file_in_it_may_get_the_name_it_should_have_had(drop, gather_now, set_aside_now, held, inbox):
    drop("a.png", "a_back.png")
    set_aside_now()
    folder = put_back(held, inbox, "a")
    (folder / "a.png").rename(folder / "a_front.png")
    (plan,) = gather_now().plans
    assert (plan.fault, plan.missing, plan.arriving) == (None, None, False)


def test_its_notes_are_no_files_of_the_order(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png")
    set_aside_now()
    folder = put_back(held, inbox, "a")
    assert {FILE_NAME, WHY_NAME} <= {path.name for path in folder.iterdir()}
    (plan,) = gather_now().plans
    assert [file.name for file in plan.files] == ["a.png"]


def test_a_note_without_its_files_keeps_nothing_waiting(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png")
    set_aside_now()
    folder = put_back(held, inbox, "a")
    (folder / "a.png").unlink()
    drop("b_front.png", "b_back.png")
    look = gather_now()
    assert {plan.name: plan.arriving for plan in look.plans} == {"b": False}
    assert look.gathered.left_alone == ()


def test_a_note_that_cannot_be_read_leaves_its_folder_alone(drop, gather_now, set_aside_now, held, inbox):
    drop("tag/a.png")
    set_aside_now()
    folder = put_back(held, inbox, "a")
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
    put_back(held, inbox, "a")
    assert [plan.name for plan in gather_now().plans] == ["a"]


def test_the_ticket_of_a_zip_comes_back_with_its_order(drop, gather_now, set_aside_now, held, inbox, make):
    drop(**{"tag/a.zip": make.packed({"1.png": b"1", "job.toml": b"quantity = 77"})})
    set_aside_now(soft=True)
    put_back(held, inbox, "a", "a ok")
    (plan,) = gather_now().plans
    assert plan.wishes.quantity == 77
