"""Numbered names under one ticket are the designs of one order."""

import pytest

from tests.orders.of_designs import numbers_of, pair_names, pieces_of, zip_of_pngs
from watcher.orders.pairing import Table, pair_sides
from watcher.orders.readings import group_key


def test_without_a_ticket_numbered_names_are_orders_of_their_own(drop, pair):
    drop(*pair_names(1, 2))
    assert sorted(plan.name for plan in pair()) == ["spring_01", "spring_02"]


def test_under_one_ticket_they_are_one_order(drop, pair):
    drop(*pair_names(1, 2, 3), **{"spring.toml": b"quantity = 4\ndesigns = 3"})
    (plan,) = pair()
    assert (plan.name, plan.key, plan.wishes.quantity) == ("spring", "spring", 4)
    assert [(design, side) for design, side, _, _ in pieces_of(plan)] == [
        (number, side) for number in (1, 2, 3) for side in ("front", "back")
    ]
    assert (plan.missing, plan.fault, plan.open_ended) == (None, None, False)
    assert len(plan.files) == 7


def test_without_a_number_in_the_ticket_nobody_knows_whether_more_come(drop, pair):
    drop(*pair_names(1, 2), **{"spring.toml": b""})
    (plan,) = pair()
    assert (plan.open_ended, plan.missing) == (True, None)


def test_designs_that_have_not_come_are_named(drop, pair):
    drop(*pair_names(1, 2, 5), **{"spring.toml": b""})
    (plan,) = pair()
    assert (plan.missing, plan.lacks) == ("designs", "3 and 4 are missing")


def test_a_back_that_has_not_come_is_named(drop, pair):
    drop(*pair_names(1), "spring_02_front.png", **{"spring.toml": b"designs = 2"})
    (plan,) = pair()
    assert (plan.missing, plan.lacks) == ("designs", "the back of 2 is missing")


@pytest.mark.parametrize(
    ("numbers", "lacks"),
    [
        ((1, 2), "3 to 6 are missing"),
        ((1, 2, 3, 4, 5), "6 is missing"),
        ((1, 3, 6), "2, 4 and 5 are missing"),
        ((2, 3), "4 more are missing"),
        ((2, 4, 5, 6, 7), "3 is missing"),
    ],
)
def test_the_ticket_that_says_how_many_waits_for_all_of_them(drop, pair, numbers, lacks):
    drop(*pair_names(*numbers), **{"spring.toml": b"designs = 6"})
    (plan,) = pair()
    assert (plan.missing, plan.lacks, plan.open_ended) == ("designs", lacks, False)


def test_a_run_may_begin_at_any_number(drop, pair):
    drop(*pair_names(7, 8, 9), **{"spring.toml": b"designs = 3"})
    (plan,) = pair()
    assert (numbers_of(plan), plan.missing) == ([7, 8, 9], None)


def test_more_designs_than_the_ticket_says_are_held(drop, pair):
    drop(*pair_names(1, 2, 3), **{"spring.toml": b"designs = 2"})
    (plan,) = pair()
    assert "make 3 designs, but the job ticket says designs = 2" in plan.fault


def test_a_pdf_of_fewer_pages_than_the_ticket_says_is_held_at_once(drop, pair, make):
    drop(**{"tag/guests.pdf": make.pdf(3), "tag/guests.toml": b"designs = 4"})
    (plan,) = pair()
    assert "make 3 designs, but the job ticket says designs = 4" in plan.fault


def test_a_numbered_name_with_a_ticket_of_its_own_stays_an_order_of_its_own(drop, pair):
    drop(*pair_names(1, 2), **{"spring.toml": b"", "spring_02.toml": b"quantity = 9"})
    assert {plan.name: numbers_of(plan) for plan in pair()} == {"spring": [1], "spring_02": [1]}


def test_a_ticket_with_art_of_its_own_name_draws_no_others(drop, pair):
    drop(*pair_names(2), "spring_front.png", "spring_back.png", **{"spring.toml": b""})
    assert sorted(plan.name for plan in pair()) == ["spring", "spring_02"]


def test_numbers_in_another_folder_belong_to_another_card(drop, pair):
    drop("tag/spring_01.png", *pair_names(1), **{"spring.toml": b"designs = 1"})
    assert sorted((str(plan.folder), plan.name) for plan in pair()) == [("None", "spring"), ("tag", "spring_01")]


def test_with_a_common_back_only_fronts_are_numbered(drop, pair):
    drop("menu/spring_01_front.png", "menu/spring_02.png", **{"menu/spring.toml": b"designs = 2"})
    (plan,) = pair()
    assert (numbers_of(plan), plan.missing) == ([1, 2], None)


def test_two_page_files_may_be_numbered_too(drop, pair, make):
    drop(**{f"spring_{number}.pdf": make.pdf(2) for number in (1, 2)}, **{"spring.toml": b"designs = 2"})
    (plan,) = pair()
    assert [(design, side) for design, side, _, _ in pieces_of(plan)] == [
        (number, side) for number in (1, 2) for side in ("front", "back")
    ]


def test_two_ways_of_writing_one_number_are_held(drop, pair):
    drop(*pair_names(1), "spring_1_front.png", **{"spring.toml": b"designs = 1"})
    (plan,) = pair()
    assert "two different files for the front" in plan.fault


def test_a_zip_may_hold_the_numbered_names_and_their_ticket(drop, pair, make):
    drop(**{"all_x5.zip": zip_of_pngs(make, *pair_names(1, 2), **{"spring.toml": b"overs = 1"})})
    (plan,) = pair()
    assert (plan.name, plan.wishes.quantity, numbers_of(plan), plan.missing) == ("spring", 5, [1, 2], None)


def test_a_ticket_with_a_fault_holds_all_that_it_is_for(drop, pair):
    drop(*pair_names(1, 2), **{"spring.toml": b"desings = 2"})
    (plan,) = pair()
    assert "desings is not known (did you mean designs?)" in plan.fault
    assert len(plan.files) == 5


# -- what is still arriving --------------------------------------------------------------------------------------------


def test_a_design_that_is_still_arriving_keeps_the_whole_order_waiting(drop, find, settings, read):
    drop(*pair_names(1, 2), **{"spring.toml": b""})
    table = Table(found=find(), arriving=frozenset({group_key(None, "spring_03")}))
    (plan,) = pair_sides(table, settings, read)
    assert plan.arriving


def test_numbered_names_wait_for_a_ticket_that_is_still_arriving(drop, find, settings, read):
    drop(*pair_names(1))
    arriving = frozenset({group_key(None, "spring")})
    (plan,) = pair_sides(Table(found=find(), arriving=arriving, tickets_arriving=arriving), settings, read)
    assert plan.arriving
    (plan,) = pair_sides(Table(found=find(), arriving=arriving), settings, read)
    assert not plan.arriving
