"""What lies under one name is put together as README's "Naming what you drop" says, and held where it does not say."""

import unicodedata

import pytest

from tests.orders.an_order import fault_of, sides_of
from watcher.orders.pairing import Table, pair_sides
from watcher.orders.readings import group_key

# -- a front and a back ------------------------------------------------------------------------------------------------


def test_a_front_and_a_back_are_an_order(drop, pair):
    drop("lantern-walk_front.png", "lantern-walk_back.png")
    (plan,) = pair()
    assert plan.name == "lantern-walk"
    assert sides_of(plan) == {"front": "lantern-walk_front.png", "back": "lantern-walk_back.png"}
    wishes = plan.wishes
    assert (wishes.card, wishes.sheet, wishes.quantity, str(wishes.overs)) == ("invitation", "letter", 1, "0")
    assert (plan.fault, plan.missing, plan.arriving, plan.accepted) == (None, None, False, False)


@pytest.mark.parametrize(("there", "missing"), [("front", "back"), ("back", "front")])
def test_a_lone_half_misses_the_other_side(drop, pair, there, missing):
    drop(f"lantern_{there}.png")
    (plan,) = pair()
    assert plan.missing == missing
    assert plan.fault is None


def test_each_name_is_an_order_of_its_own(drop, pair):
    drop("moon_front.png", "sun_front.png", "moon_back.png", "sun_back.png")
    assert {plan.name: plan.missing for plan in pair()} == {"moon": None, "sun": None}


def test_case_and_composition_of_accents_count_for_nothing(drop, pair):
    drop(unicodedata.normalize("NFC", "Fête") + "_FRONT.PNG", unicodedata.normalize("NFD", "fête") + "_Back.png")
    (plan,) = pair()
    assert plan.missing is None
    assert plan.name == unicodedata.normalize("NFC", "Fête")


def test_the_same_name_in_two_card_folders_is_two_orders(drop, pair):
    drop("lantern_front.png", "invitation/lantern_back.png")
    assert sorted(str(plan.missing) for plan in pair()) == ["back", "front"]


def test_art_that_says_no_side_is_held_on_a_two_sided_card(drop, pair):
    drop("lantern.png")
    assert "Name it lantern_front.png or lantern_back.png, and put the other one beside it." in fault_of(pair())


def test_a_side_word_alone_is_no_order(drop, pair):
    drop("front.png")
    assert fault_of(pair()).startswith("front.png names no order. Name it ORDER_front")


def test_a_number_alone_outside_a_zip_is_a_name_like_any_other(drop, pair):
    drop("tag/1.png", "1_front.png", "1_back.png")
    assert {(plan.folder, plan.name, plan.missing, plan.fault) for plan in pair()} == {
        ("tag", "1", None, None),
        (None, "1", None, None),
    }


# -- what lies on the table beside ------------------------------------------------------------------------------------


def test_what_is_still_arriving_keeps_its_order_waiting(drop, find, settings, read):
    drop("a_front.png", "a_back.png")
    (plan,) = pair_sides(Table(found=find(), arriving=frozenset({group_key(None, "a")})), settings, read)
    assert plan.arriving


def test_acceptance_is_for_that_name_in_that_folder(drop, find, settings, read):
    drop("a_front.png", "tag/a.png")
    plans = pair_sides(Table(found=find(), accepted={group_key("Tag", "a"): ()}), settings, read)
    assert {plan.folder: plan.accepted for plan in plans} == {None: False, "tag": True}


def test_a_file_that_cannot_be_read_now_is_still_arriving(drop, find, settings):
    def locked(_found):
        raise PermissionError(13, "in use")

    drop("a_front.png", "a_front (1).png")
    (plan,) = pair_sides(Table(found=find()), settings, locked)
    assert plan.arriving
    assert plan.fault is None
