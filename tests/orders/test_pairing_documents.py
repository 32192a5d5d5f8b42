"""PDF and ZIP files paired: pages as sides, ZIP files of one order and of many, and what shares one."""

import pytest

from tests.orders.an_order import fault_of, sides_of
from watcher.orders.model import Planned
from watcher.orders.pairing import bundles

# -- PDF ---------------------------------------------------------------------------------------------------------------


def test_two_pages_are_front_and_back(drop, pair, make):
    drop(**{"lantern.pdf": make.pdf(2)})
    (plan,) = pair()
    assert sides_of(plan) == {"front": ("lantern.pdf", 0), "back": ("lantern.pdf", 1)}
    assert len(plan.files) == 1


def test_one_page_is_a_front_and_waits_for_a_back(drop, pair, make):
    drop(**{"lantern.pdf": make.pdf(1)})
    (plan,) = pair()
    assert sides_of(plan) == {"front": ("lantern.pdf", 0)}
    assert plan.missing == "back"


def test_one_page_with_a_side_word_is_that_side(drop, pair, make):
    drop("lantern_front.png", **{"lantern_back.pdf": make.pdf(1)})
    (plan,) = pair()
    assert sides_of(plan) == {"front": "lantern_front.png", "back": ("lantern_back.pdf", 0)}


@pytest.mark.parametrize(("card", "side"), [("tag", "front"), ("menu", "front"), ("voucher", "back")])
def test_one_page_is_the_one_side_that_is_wanted(drop, pair, make, card, side):
    drop(**{f"{card}/lantern.pdf": make.pdf(1)})
    (plan,) = pair()
    assert sides_of(plan) == {side: ("lantern.pdf", 0)}
    assert plan.missing is None


def test_two_pages_with_a_side_word_are_held(drop, pair, make):
    drop("lantern_back.png", **{"lantern_front.pdf": make.pdf(2)})
    assert "lantern_front.pdf has 2 pages, but only its front is wanted" in fault_of(pair())


def test_two_pages_that_are_called_a_back_of_a_one_sided_card_are_held_for_that(drop, pair, make):
    drop(**{"tag/lantern_back.pdf": make.pdf(2)})
    assert "is a back, but the card tag is printed on one side" in fault_of(pair())


def test_three_pages_are_held(drop, pair, make):
    drop(**{"lantern.pdf": make.pdf(3)})
    fault = fault_of(pair())
    assert "lantern.pdf has 3 pages; a card has two, front and back. Export those two." in fault
    assert 'write designs = "pages" in its job ticket' in fault


def test_a_two_page_pdf_beside_an_image_for_the_back_is_held(drop, pair, make):
    drop("lantern_back.png", **{"lantern.pdf": make.pdf(2)})
    assert "two different files for the back: lantern.pdf and lantern_back.png" in fault_of(pair())


# -- ZIP ---------------------------------------------------------------------------------------------------------------


def _zip(make, *names: str) -> bytes:
    return make.packed({name: make.png(name) for name in names})


def test_numbered_pages_are_front_and_back(drop, pair, make):
    drop(**{"spring menu_x20.zip": _zip(make, "2.png", "1.png")})
    (plan,) = pair()
    assert plan.name == "spring menu"
    assert plan.wishes.quantity == 20
    assert sides_of(plan) == {"front": "1.png in spring menu_x20.zip", "back": "2.png in spring menu_x20.zip"}


def test_bare_side_words_take_the_zips_name(drop, pair, make):
    drop(**{"spring.zip": _zip(make, "back.png", "front.png")})
    (plan,) = pair()
    assert (plan.name, plan.missing) == ("spring", None)


@pytest.mark.parametrize(("card", "side"), [("tag", "front"), ("menu", "front"), ("voucher", "back")])
def test_page_one_is_the_one_side_that_is_wanted(drop, pair, make, card, side):
    drop(**{f"{card}/spring.zip": _zip(make, "1.png")})
    (plan,) = pair()
    assert sides_of(plan) == {side: "1.png in spring.zip"}
    assert (plan.missing, plan.fault) == (None, None)


@pytest.mark.parametrize("card", ["tag", "menu", "voucher"])
def test_a_page_two_alone_where_one_is_wanted_is_held(drop, pair, make, card):
    drop(**{f"{card}/spring.zip": _zip(make, "2.png")})
    assert f"2.png in spring.zip is a second page, but the card {card} takes one page an order" in fault_of(pair())


def test_a_numbered_page_in_a_zip_that_says_back_is_no_front(drop, pair, make):
    """Never guess: the page of `spring_back.zip` is a back, which a one-sided card does not have."""
    drop(**{"tag/spring_back.zip": _zip(make, "1.png")})
    assert "is a back, but the card tag is printed on one side" in fault_of(pair())


def test_a_zip_that_says_its_side_finds_the_other_beside_it(drop, pair, make):
    drop("spring_front.png", **{"spring_back.zip": _zip(make, "1.png")})
    (plan,) = pair()
    assert sides_of(plan) == {"front": "spring_front.png", "back": "1.png in spring_back.zip"}


def test_a_zip_of_many_orders_gives_them_all(drop, pair, make):
    drop(**{"week.zip": _zip(make, "moon_front.png", "moon_back.png", "sun_x5_front.png", "sun_back.png")})
    plans = {plan.name: plan for plan in pair()}
    assert {name: (plan.wishes.quantity, plan.missing) for name, plan in plans.items()} == {
        "moon": (1, None),
        "sun": (5, None),
    }


def test_halves_from_a_zip_and_from_a_file_belong_together(drop, pair, make):
    drop("moon_back.png", **{"week.zip": _zip(make, "moon_front.png")})
    (plan,) = pair()
    assert plan.missing is None


def test_a_ticket_in_a_zip_is_its_orders(drop, pair, make):
    drop(**{"spring.zip": make.packed({"1.png": make.png("1"), "2.png": make.png("2"), "job.toml": b"quantity = 9"})})
    (plan,) = pair()
    assert (plan.name, plan.wishes.quantity, plan.missing) == ("spring", 9, None)


def test_a_two_page_pdf_in_a_zip_is_front_and_back(drop, pair, make):
    drop(**{"spring.zip": make.packed({"1.pdf": make.pdf(2)})})
    (plan,) = pair()
    assert sides_of(plan) == {"front": ("1.pdf in spring.zip", 0), "back": ("1.pdf in spring.zip", 1)}


def test_a_quantity_on_the_zip_and_another_on_its_member_are_held(drop, pair, make):
    drop(**{"spring_x20.zip": _zip(make, "spring_x30_front.png", "spring_back.png")})
    assert "spring_x30_front.png asks for 30 cards, but spring_x20.zip for 20" in fault_of(pair())


def test_a_zip_called_by_a_side_word_names_no_order(drop, pair, make):
    drop(**{"front.zip": _zip(make, "1.png")})
    assert "names no order" in fault_of(pair())


def test_the_same_zip_downloaded_twice_is_nothing_new(drop, pair, make):
    drop(**{"a.zip": _zip(make, "1.png", "2.png"), "a (1).zip": _zip(make, "1.png", "2.png")})
    (plan,) = pair()
    assert sides_of(plan) == {"front": "1.png in a.zip", "back": "2.png in a.zip"}
    assert [file.name for file in plan.files] == ["a.zip", "a (1).zip"]


def test_the_same_two_page_pdf_twice_is_nothing_new(drop, pair, make):
    drop(**{"a.pdf": make.pdf(2), "a (1).pdf": make.pdf(2)})
    (plan,) = pair()
    assert (plan.fault, len(plan.pieces), len(plan.files)) == (None, 2, 2)


# -- bundles -----------------------------------------------------------------------------------------------------------


def _names(found: list[tuple[Planned, ...]]) -> list[list[str]]:
    return sorted(sorted(plan.name for plan in bundle) for bundle in found)


def test_orders_that_share_a_zip_are_taken_together(drop, pair, make):
    drop("lone_front.png", **{"week.zip": _zip(make, "moon_front.png", "sun_front.png")})
    assert _names(bundles(pair())) == [["lone"], ["moon", "sun"]]


def test_orders_that_share_through_others_are_taken_together(drop, pair, make):
    """Moon and star share a.zip, star and sun share b.zip."""
    drop(
        **{
            "a.zip": _zip(make, "moon_front.png", "star_front.png"),
            "b.zip": _zip(make, "star_back.png", "sun_front.png"),
            "c.zip": _zip(make, "mars_front.png"),
        }
    )
    assert _names(bundles(pair())) == [["mars"], ["moon", "star", "sun"]]


def test_every_plan_is_in_one_bundle(drop, pair, make):
    drop("moon_back.png", "sun_back.png", **{"week.zip": _zip(make, "sun_front.png", "moon_front.png")})
    assert [len(bundle) for bundle in bundles(pair())] == [2]


def test_all_orders_of_a_large_zip_are_one_bundle(drop, pair, make):
    names = [f"o{number}_front.png" for number in range(1500)]
    drop(**{"week.zip": make.packed(dict.fromkeys(names, make.png("f")))})
    assert [len(bundle) for bundle in bundles(pair())] == [1500]


def test_small_bundles_that_meet_a_large_one_end_in_it(drop, pair, make):
    links = 400
    contents = {"big.zip": _zip(make, *(f"o{number}_front.png" for number in range(links)))}
    contents |= {f"o{number}_back.png": b"" for number in range(links)}
    drop(**{name: data or make.png(name) for name, data in contents.items()})
    assert [len(bundle) for bundle in bundles(pair())] == [links]
