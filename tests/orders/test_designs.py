"""Many designs in one order: pages, numbered images, numbered names under one ticket."""

from dataclasses import replace

import pytest

from watcher.errors import OrderHeld
from watcher.orders.claim import claim, read_note
from watcher.orders.model import Planned, refuse_unknown_designs, show_numbers
from watcher.orders.pairing import Table, pair_sides
from watcher.orders.readings import group_key
from watcher.terms import Sequencing


def _lying(plan: Planned) -> list[tuple[int, str, str, int | None]]:
    """Each piece: design, side, file, page."""
    return [(piece.design, str(piece.side), piece.found.shown, piece.page) for piece in plan.pieces]


def _numbers(plan: Planned) -> list[int]:
    return sorted({piece.design for piece in plan.pieces})


def _zip(make, *names: str, **more: bytes) -> bytes:
    return make.packed({name: make.png(name) for name in names} | more)


# -- pages and numbered images -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("card", "side"), [("tag", "front"), ("menu", "front"), ("voucher", "back")])
def test_pages_where_one_side_is_wanted_are_as_many_designs(drop, pair, make, card, side):
    drop(**{f"{card}/guests.pdf": make.pdf(3)})
    (plan,) = pair()
    assert _lying(plan) == [(page + 1, side, "guests.pdf", page) for page in range(3)]
    assert (plan.missing, plan.fault, plan.open_ended) == (None, None, False)


@pytest.mark.parametrize(("card", "side"), [("tag", "front"), ("menu", "front"), ("voucher", "back")])
@pytest.mark.parametrize("count", [2, 12])
def test_numbered_images_where_one_side_is_wanted_are_as_many_designs(drop, pair, make, card, side, count):
    names = [f"{number:02d}.png" for number in range(1, count + 1)]
    drop(**{f"{card}/guests_x3.zip": _zip(make, *names)})
    (plan,) = pair()
    assert _lying(plan) == [(n, side, f"{n:02d}.png in guests_x3.zip", None) for n in range(1, count + 1)]
    assert (plan.name, plan.wishes.quantity, plan.missing, plan.fault) == ("guests", 3, None, None)


def test_numbers_in_a_zip_are_read_as_numbers(drop, pair, make):
    drop(**{"tag/guests.zip": _zip(make, "10.png", "9.png", "11.png")})
    (plan,) = pair()
    assert _numbers(plan) == [9, 10, 11]


def test_a_number_that_is_not_in_the_zip_is_named(drop, pair, make):
    drop(**{"tag/guests.zip": _zip(make, "1.png", "2.png", "5.png")})
    (plan,) = pair()
    assert (plan.missing, plan.lacks) == ("designs", "3 and 4 are missing")


def test_two_images_of_one_number_are_held(drop, pair, make):
    drop(**{"tag/guests.zip": _zip(make, "1.png", "01.png", "2.png")})
    (plan,) = pair()
    assert "two different files for the front of design 1: " in plan.fault


def test_numbered_images_on_a_two_sided_card_are_held_with_the_word_that_says_what_they_are(drop, pair, make):
    drop(**{"guests.zip": _zip(make, *(f"{number}.png" for number in range(1, 5)))})
    (plan,) = pair()
    assert "guests.zip holds 4 numbered pages" in plan.fault
    assert 'write designs = "pages" in its job ticket' in plan.fault


def test_more_than_500_designs_are_held_in_plain_words(drop, pair, make):
    drop(**{"tag/guests.zip": make.packed({f"{number}.png": b"x" for number in range(1, 502)})})
    (plan,) = pair()
    assert "make 501 designs; 500 are the most" in plan.fault


# -- front and back in turn --------------------------------------------------------------------------------------------


def test_pages_in_turn_are_front_and_back_of_one_design_after_the_other(drop, pair, make):
    drop(**{"guests.pdf": make.pdf(4), "guests.toml": b'designs = "pages"'})
    (plan,) = pair()
    assert _lying(plan) == [
        (1, "front", "guests.pdf", 0),
        (1, "back", "guests.pdf", 1),
        (2, "front", "guests.pdf", 2),
        (2, "back", "guests.pdf", 3),
    ]


def test_numbered_images_in_turn_are_too(drop, pair, make):
    drop(**{"guests.zip": _zip(make, "1.png", "2.png", "3.png", "4.png", **{"job.toml": b'designs = "pages"'})})
    (plan,) = pair()
    assert [(design, side, shown) for design, side, shown, _ in _lying(plan)] == [
        (1, "front", "1.png in guests.zip"),
        (1, "back", "2.png in guests.zip"),
        (2, "front", "3.png in guests.zip"),
        (2, "back", "4.png in guests.zip"),
    ]


def test_an_odd_number_of_pages_in_turn_is_held_saying_so(drop, pair, make):
    drop(**{"guests.pdf": make.pdf(5), "guests.toml": b'designs = "pages"'})
    (plan,) = pair()
    assert "guests.pdf has 5 pages, an odd number; front and back in turn make an even one." in plan.fault


def test_a_page_left_out_of_numbers_in_turn_is_held(drop, pair, make):
    """Never guess: without 2.png every later front would become a back."""
    drop(**{"guests.zip": _zip(make, "1.png", "3.png", "4.png", "5.png", **{"job.toml": b'designs = "pages"'})})
    (plan,) = pair()
    assert "do not follow one another: 1 to 5, but 4 pages" in plan.fault


def test_a_pdf_of_fronts_and_one_of_backs_go_together_page_by_page(drop, pair, make):
    drop(
        **{
            "guests_front.pdf": make.pdf(2),
            "guests_back.pdf": make.pdf(2),
            "guests.toml": b'designs = "pages"',
        }
    )
    (plan,) = pair()
    assert [(design, side, page) for design, side, _, page in _lying(plan)] == [
        (1, "front", 0),
        (1, "back", 0),
        (2, "front", 1),
        (2, "back", 1),
    ]
    assert plan.missing is None


def test_backs_that_are_fewer_than_fronts_are_named(drop, pair, make):
    drop(
        **{
            "guests_front.pdf": make.pdf(4),
            "guests_back.pdf": make.pdf(2),
            "guests.toml": b'designs = "pages"',
        }
    )
    (plan,) = pair()
    assert (plan.missing, plan.lacks) == ("designs", "the back of 3 and 4 is missing")


# -- numbered names under one ticket -----------------------------------------------------------------------------------


def _pairs(*numbers: int, of: str = "spring") -> list[str]:
    return [f"{of}_{number:02d}_{side}.png" for number in numbers for side in ("front", "back")]


def test_without_a_ticket_numbered_names_are_orders_of_their_own(drop, pair):
    drop(*_pairs(1, 2))
    assert sorted(plan.name for plan in pair()) == ["spring_01", "spring_02"]


def test_under_one_ticket_they_are_one_order(drop, pair):
    drop(*_pairs(1, 2, 3), **{"spring.toml": b"quantity = 4\ndesigns = 3"})
    (plan,) = pair()
    assert (plan.name, plan.key, plan.wishes.quantity) == ("spring", "spring", 4)
    assert [(design, side) for design, side, _, _ in _lying(plan)] == [
        (number, side) for number in (1, 2, 3) for side in ("front", "back")
    ]
    assert (plan.missing, plan.fault, plan.open_ended) == (None, None, False)
    assert len(plan.files) == 7


def test_without_a_number_in_the_ticket_nobody_knows_whether_more_come(drop, pair):
    drop(*_pairs(1, 2), **{"spring.toml": b""})
    (plan,) = pair()
    assert (plan.open_ended, plan.missing) == (True, None)


def test_designs_that_have_not_come_are_named(drop, pair):
    drop(*_pairs(1, 2, 5), **{"spring.toml": b""})
    (plan,) = pair()
    assert (plan.missing, plan.lacks) == ("designs", "3 and 4 are missing")


def test_a_back_that_has_not_come_is_named(drop, pair):
    drop(*_pairs(1), "spring_02_front.png", **{"spring.toml": b"designs = 2"})
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
    drop(*_pairs(*numbers), **{"spring.toml": b"designs = 6"})
    (plan,) = pair()
    assert (plan.missing, plan.lacks, plan.open_ended) == ("designs", lacks, False)


def test_a_run_may_begin_at_any_number(drop, pair):
    drop(*_pairs(7, 8, 9), **{"spring.toml": b"designs = 3"})
    (plan,) = pair()
    assert (_numbers(plan), plan.missing) == ([7, 8, 9], None)


def test_more_designs_than_the_ticket_says_are_held(drop, pair):
    drop(*_pairs(1, 2, 3), **{"spring.toml": b"designs = 2"})
    (plan,) = pair()
    assert "make 3 designs, but the job ticket says designs = 2" in plan.fault


def test_a_pdf_of_fewer_pages_than_the_ticket_says_is_held_at_once(drop, pair, make):
    drop(**{"tag/guests.pdf": make.pdf(3), "tag/guests.toml": b"designs = 4"})
    (plan,) = pair()
    assert "make 3 designs, but the job ticket says designs = 4" in plan.fault


def test_a_numbered_name_with_a_ticket_of_its_own_stays_an_order_of_its_own(drop, pair):
    drop(*_pairs(1, 2), **{"spring.toml": b"", "spring_02.toml": b"quantity = 9"})
    assert {plan.name: _numbers(plan) for plan in pair()} == {"spring": [1], "spring_02": [1]}


def test_a_ticket_with_art_of_its_own_name_draws_no_others(drop, pair):
    drop(*_pairs(2), "spring_front.png", "spring_back.png", **{"spring.toml": b""})
    assert sorted(plan.name for plan in pair()) == ["spring", "spring_02"]


def test_numbers_in_another_folder_belong_to_another_card(drop, pair):
    drop("tag/spring_01.png", *_pairs(1), **{"spring.toml": b"designs = 1"})
    assert sorted((str(plan.folder), plan.name) for plan in pair()) == [("None", "spring"), ("tag", "spring_01")]


def test_with_a_common_back_only_fronts_are_numbered(drop, pair):
    drop("menu/spring_01_front.png", "menu/spring_02.png", **{"menu/spring.toml": b"designs = 2"})
    (plan,) = pair()
    assert (_numbers(plan), plan.missing) == ([1, 2], None)


def test_two_page_files_may_be_numbered_too(drop, pair, make):
    drop(**{f"spring_{number}.pdf": make.pdf(2) for number in (1, 2)}, **{"spring.toml": b"designs = 2"})
    (plan,) = pair()
    assert [(design, side) for design, side, _, _ in _lying(plan)] == [
        (number, side) for number in (1, 2) for side in ("front", "back")
    ]


def test_two_ways_of_writing_one_number_are_held(drop, pair):
    drop(*_pairs(1), "spring_1_front.png", **{"spring.toml": b"designs = 1"})
    (plan,) = pair()
    assert "two different files for the front" in plan.fault


def test_a_zip_may_hold_the_numbered_names_and_their_ticket(drop, pair, make):
    drop(**{"all_x5.zip": _zip(make, *_pairs(1, 2), **{"spring.toml": b"overs = 1"})})
    (plan,) = pair()
    assert (plan.name, plan.wishes.quantity, _numbers(plan), plan.missing) == ("spring", 5, [1, 2], None)


def test_a_ticket_with_a_fault_holds_all_that_it_is_for(drop, pair):
    drop(*_pairs(1, 2), **{"spring.toml": b"desings = 2"})
    (plan,) = pair()
    assert "desings is not known (did you mean designs?)" in plan.fault
    assert len(plan.files) == 5


# -- what is still arriving --------------------------------------------------------------------------------------------


def test_a_design_that_is_still_arriving_keeps_the_whole_order_waiting(drop, find, settings, read):
    drop(*_pairs(1, 2), **{"spring.toml": b""})
    table = Table(found=find(), arriving=frozenset({group_key(None, "spring_03")}))
    (plan,) = pair_sides(table, settings, read)
    assert plan.arriving


def test_numbered_names_wait_for_a_ticket_that_is_still_arriving(drop, find, settings, read):
    drop(*_pairs(1))
    arriving = frozenset({group_key(None, "spring")})
    (plan,) = pair_sides(Table(found=find(), arriving=arriving, tickets_arriving=arriving), settings, read)
    assert plan.arriving
    (plan,) = pair_sides(Table(found=find(), arriving=arriving), settings, read)
    assert not plan.arriving


# -- some of them alone, and the order that is taken -------------------------------------------------------------------


def test_only_names_designs_that_are_there(drop, pair, make):
    drop(**{"tag/guests.pdf": make.pdf(3), "tag/guests.toml": b"only = [2, 7]"})
    (plan,) = pair()
    assert plan.fault == "There is no design 7 in the order; it has 1 to 3."


def test_only_waits_for_no_other_design(drop, pair):
    drop(*_pairs(2), **{"spring.toml": b"only = [2]"})
    (plan,) = pair()
    assert (plan.missing, plan.open_ended, plan.wishes.only) == (None, False, (2,))
    drop("spring_04_front.png")
    (plan,) = pair()
    assert plan.missing is None


def _claimed(pair, archive):
    (plan,) = pair()
    (order,) = claim([plan], archive, 1)
    return order


def test_a_taken_order_knows_its_designs_and_is_read_again_as_it_was(drop, pair, archive):
    drop(*_pairs(1, 2, 3), **{"spring.toml": b'designs = 3\nsequence = "stacks"\nonly = [3]'})
    order = _claimed(pair, archive)
    assert (order.designs, order.wishes.sequence, order.wishes.only) == ((1, 2, 3), Sequencing.STACKS, (3,))
    assert [source.file for source in order.wanted_art] == ["spring_03_front.png", "spring_03_back.png"]
    assert read_note(archive / ".taking-1.json") == order


def test_a_spoiled_design_is_chosen_from_an_order(drop, pair, archive, make):
    drop(**{"tag/guests.pdf": make.pdf(24)})
    order = _claimed(pair, archive)
    alone = replace(order, wishes=replace(order.wishes, only=(17,)))
    assert [source.page for source in alone.wanted_art] == [16]
    with pytest.raises(OrderHeld, match=r"There is no design 25 in the order; it has 1 to 24\."):
        refuse_unknown_designs([25], order.designs)


def test_the_names_of_many_files_are_said_in_a_line(drop, pair, archive):
    drop(*_pairs(*range(1, 6)), **{"spring.toml": b"designs = 5"})
    assert _claimed(pair, archive).shown_art.endswith("spring_03_back.png and 4 more")


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ([3], "3"),
        ([3, 4], "3 and 4"),
        ([1, 2, 5], "1, 2 and 5"),
        ([3, 4, 5], "3 to 5"),
        ([1, 3, 4, 5, 9], "1, 3 to 5 and 9"),
        (list(range(1, 40, 2)), "1, 3, 5, 7, 9, 11, 13, 15 and more"),
    ],
)
def test_numbers_are_listed_as_people_say_them(numbers, words):
    assert show_numbers(numbers) == words
