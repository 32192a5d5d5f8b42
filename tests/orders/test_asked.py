"""How many cards are wanted: what names and job ticket say, and what is held where they differ."""

import pytest

from tests.orders.an_order import fault_of


@pytest.mark.parametrize(
    "names",
    [
        ("lantern_x50_front.png", "lantern_back.png"),
        ("lantern_front.png", "lantern_back_x50.png"),
        ("lantern x50 front.png", "lantern-x50-back.png"),
    ],
)
def test_the_quantity_may_stand_on_either_side_or_both(drop, pair, names):
    drop(*names)
    (plan,) = pair()
    assert (plan.wishes.quantity, plan.fault, plan.missing) == (50, None, None)


def test_two_quantities_that_differ_are_held_with_both(drop, pair):
    drop("lantern_x50_front.png", "lantern_x40_back.png")
    fault = fault_of(pair())
    assert "lantern_x50_front.png says 50" in fault
    assert "lantern_x40_back.png says 40" in fault


def test_every_name_that_is_unclear_is_told_at_once(drop, pair):
    drop("lantern 2x front.png", "lantern 2x back.png")
    fault = fault_of(pair())
    assert "name it lantern_x2_back.png for 2 cards" in fault
    assert "name it lantern_x2_front.png for 2 cards" in fault


def test_the_tickets_quantity_counts(drop, pair):
    drop("lantern_front.png", "lantern_back.png", **{"lantern.toml": b"quantity = 40"})
    (plan,) = pair()
    assert plan.wishes.quantity == 40


def test_the_tickets_quantity_against_the_names_is_held(drop, pair):
    drop("lantern_x50_front.png", "lantern_back.png", **{"lantern.toml": b"quantity = 40"})
    assert "lantern.toml says 40" in fault_of(pair())


def test_the_same_quantity_in_ticket_and_name_is_fine(drop, pair):
    drop("lantern_x40_front.png", "lantern_back.png", **{"lantern.toml": b"quantity = 40"})
    (plan,) = pair()
    assert (plan.wishes.quantity, plan.fault) == (40, None)


def test_without_a_number_the_cards_own_quantity_counts(drop, pair):
    drop("tag/lantern.png")
    (plan,) = pair()
    assert plan.wishes.quantity == 10


def test_a_quantity_that_is_none_is_held_and_said_once(drop, pair):
    drop("lantern_x0_front.png", "lantern_back.png")
    fault = fault_of(pair())
    assert fault.startswith("lantern_x0_front.png asks for 0 cards; a quantity is 1 to 1,000,000")
    assert fault.count("lantern_x0_front.png") == 1
