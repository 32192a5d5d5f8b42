"""Many designs in one order: pages and numbered images, front and back in turn, some of them alone."""

from dataclasses import replace

import pytest

from tests.orders.of_designs import numbers_of, pair_names, pieces_of, zip_of_pngs
from watcher.errors import OrderHeld
from watcher.orders.claim import claim, read_note
from watcher.orders.model import refuse_unknown_designs, show_numbers
from watcher.terms import Sequencing

# -- pages and numbered images -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("card", "side"), [("tag", "front"), ("menu", "front"), ("voucher", "back")])
def test_pages_where_one_side_is_wanted_are_as_many_designs(drop, pair, make, card, side):
    drop(**{f"{card}/guests.pdf": make.pdf(3)})
    (plan,) = pair()
    assert pieces_of(plan) == [(page + 1, side, "guests.pdf", page) for page in range(3)]
    assert (plan.missing, plan.fault, plan.open_ended) == (None, None, False)


@pytest.mark.parametrize(("card", "side"), [("tag", "front"), ("menu", "front"), ("voucher", "back")])
@pytest.mark.parametrize("count", [2, 12])
def test_numbered_images_where_one_side_is_wanted_are_as_many_designs(drop, pair, make, card, side, count):
    names = [f"{number:02d}.png" for number in range(1, count + 1)]
    drop(**{f"{card}/guests_x3.zip": zip_of_pngs(make, *names)})
    (plan,) = pair()
    assert pieces_of(plan) == [(n, side, f"{n:02d}.png in guests_x3.zip", None) for n in range(1, count + 1)]
    assert (plan.name, plan.wishes.quantity, plan.missing, plan.fault) == ("guests", 3, None, None)


def test_numbers_in_a_zip_are_read_as_numbers(drop, pair, make):
    drop(**{"tag/guests.zip": zip_of_pngs(make, "10.png", "9.png", "11.png")})
    (plan,) = pair()
    assert numbers_of(plan) == [9, 10, 11]


def test_a_number_that_is_not_in_the_zip_is_named(drop, pair, make):
    drop(**{"tag/guests.zip": zip_of_pngs(make, "1.png", "2.png", "5.png")})
    (plan,) = pair()
    assert (plan.missing, plan.lacks) == ("designs", "3 and 4 are missing")


def test_two_images_of_one_number_are_held(drop, pair, make):
    drop(**{"tag/guests.zip": zip_of_pngs(make, "1.png", "01.png", "2.png")})
    (plan,) = pair()
    assert "two different files for the front of design 1: " in plan.fault


def test_numbered_images_on_a_two_sided_card_are_held_with_the_word_that_says_what_they_are(drop, pair, make):
    drop(**{"guests.zip": zip_of_pngs(make, *(f"{number}.png" for number in range(1, 5)))})
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
    assert pieces_of(plan) == [
        (1, "front", "guests.pdf", 0),
        (1, "back", "guests.pdf", 1),
        (2, "front", "guests.pdf", 2),
        (2, "back", "guests.pdf", 3),
    ]


def test_numbered_images_in_turn_are_too(drop, pair, make):
    drop(**{"guests.zip": zip_of_pngs(make, "1.png", "2.png", "3.png", "4.png", **{"job.toml": b'designs = "pages"'})})
    (plan,) = pair()
    assert [(design, side, shown) for design, side, shown, _ in pieces_of(plan)] == [
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
    drop(**{"guests.zip": zip_of_pngs(make, "1.png", "3.png", "4.png", "5.png", **{"job.toml": b'designs = "pages"'})})
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
    assert [(design, side, page) for design, side, _, page in pieces_of(plan)] == [
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


# -- some of them alone, and the order that is taken -------------------------------------------------------------------


def test_only_names_designs_that_are_there(drop, pair, make):
    drop(**{"tag/guests.pdf": make.pdf(3), "tag/guests.toml": b"only = [2, 7]"})
    (plan,) = pair()
    assert plan.fault == "There is no design 7 in the order; it has 1 to 3."


def test_only_waits_for_no_other_design(drop, pair):
    drop(*pair_names(2), **{"spring.toml": b"only = [2]"})
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
    drop(*pair_names(1, 2, 3), **{"spring.toml": b'designs = 3\nsequence = "stacks"\nonly = [3]'})
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
    drop(*pair_names(*range(1, 6)), **{"spring.toml": b"designs = 5"})
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
