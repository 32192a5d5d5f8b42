"""What lies under one name is put together as design section 5 says, and held where it does not say."""

import unicodedata

import pytest

from watcher.orders.model import Planned
from watcher.orders.pairing import Table, bundles, common_art, pair_sides
from watcher.orders.readings import group_key
from watcher.terms import Side


def _sides(plan: Planned) -> dict[str, str | tuple[str, int]]:
    """Side to the name of its file, with the page of a PDF."""
    return {
        str(piece.side): piece.found.shown if piece.page is None else (piece.found.shown, piece.page)
        for piece in plan.pieces
    }


def _fault(plans: tuple[Planned, ...]) -> str:
    """The only plan's fault: one line, a whole sentence, no software's words in it."""
    (plan,) = plans
    assert plan.fault is not None
    assert plan.fault.endswith(".")
    assert "\n" not in plan.fault
    assert not plan.pieces
    return plan.fault


# -- a front and a back ------------------------------------------------------------------------------------------------


def test_a_front_and_a_back_are_an_order(drop, pair):
    drop("lantern-walk_front.png", "lantern-walk_back.png")
    (plan,) = pair()
    assert plan.name == "lantern-walk"
    assert _sides(plan) == {"front": "lantern-walk_front.png", "back": "lantern-walk_back.png"}
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
    assert "Name it lantern_front.png or lantern_back.png, and put the other one beside it." in _fault(pair())


def test_a_side_word_alone_is_no_order(drop, pair):
    drop("front.png")
    assert _fault(pair()).startswith("front.png names no order. Name it ORDER_front")


def test_a_number_alone_outside_a_zip_is_a_name_like_any_other(drop, pair):
    drop("tag/1.png", "1_front.png", "1_back.png")
    assert {(plan.folder, plan.name, plan.missing, plan.fault) for plan in pair()} == {
        ("tag", "1", None, None),
        (None, "1", None, None),
    }


# -- quantity ----------------------------------------------------------------------------------------------------------


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
    fault = _fault(pair())
    assert "lantern_x50_front.png says 50" in fault
    assert "lantern_x40_back.png says 40" in fault


def test_the_tickets_quantity_counts(drop, pair):
    drop("lantern_front.png", "lantern_back.png", **{"lantern.toml": b"quantity = 40"})
    (plan,) = pair()
    assert plan.wishes.quantity == 40


def test_the_tickets_quantity_against_the_names_is_held(drop, pair):
    drop("lantern_x50_front.png", "lantern_back.png", **{"lantern.toml": b"quantity = 40"})
    assert "lantern.toml says 40" in _fault(pair())


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
    fault = _fault(pair())
    assert fault.startswith("lantern_x0_front.png asks for 0 cards; a quantity is 1 to 1,000,000")
    assert fault.count("lantern_x0_front.png") == 1


# -- which card, which sheet -------------------------------------------------------------------------------------------


def test_the_folder_names_the_card(drop, pair):
    drop("tag/lantern.png")
    (plan,) = pair()
    assert (plan.wishes.card, plan.wishes.sheet, plan.folder) == ("tag", "a4", "tag")


def test_the_ticket_names_the_card_before_the_folder(drop, pair):
    drop("tag/lantern_front.png", "tag/lantern_back.png", **{"tag/lantern.toml": b'card = "Invitation"'})
    (plan,) = pair()
    assert (plan.wishes.card, plan.wishes.sheet, plan.fault) == ("invitation", "letter", None)


def test_without_folder_or_ticket_it_is_the_default_card(drop, find, settings, read):
    other = settings.model_copy(update={"defaults": settings.defaults.model_copy(update={"card": "TAG"})})
    drop("lantern.png")
    (plan,) = pair_sides(Table(found=find()), other, read)
    assert plan.wishes.card == "tag"


def test_without_any_card_it_is_held_with_those_there_are(drop, find, settings, read):
    none = settings.model_copy(update={"defaults": settings.defaults.model_copy(update={"card": "gone"})})
    drop("lantern_front.png")
    fault = _fault(pair_sides(Table(found=find()), none, read))
    assert "no default card ('gone' is not there)" in fault
    assert "inbox/invitation, inbox/menu, inbox/tag, inbox/voucher" in fault


def test_where_there_is_but_one_card_it_is_that(drop, find, settings, read):
    alone = settings.model_copy(update={"cards": {"tag": settings.cards["tag"]}})
    drop("lantern.png", "seasonal/moon.png")
    plans = {plan.name: plan for plan in pair_sides(Table(found=find()), alone, read)}
    assert plans["lantern"].wishes.card == "tag"
    assert plans["moon"].fault is not None  # its own card is gone: another is not guessed


def test_a_card_that_left_the_settings_is_named_as_such(drop, find, settings, read):
    """A held order comes back with the folder it once lay in."""
    drop("seasonal/lantern.png")
    fault = _fault(pair_sides(Table(found=find()), settings, read))
    assert "'seasonal', which is no longer in the settings" in fault


def test_the_ticket_names_the_sheet_in_any_case(drop, pair):
    drop("lantern_front.png", "lantern_back.png", **{"lantern.toml": b'sheet = "A4"'})
    (plan,) = pair()
    assert plan.wishes.sheet == "a4"


def test_a_sheet_that_is_not_in_the_settings_is_held(drop, pair):
    drop("lantern_front.png", "lantern_back.png", **{"lantern.toml": b'sheet = "a3"'})
    assert _fault(pair()) == "The job ticket asks for the sheet 'a3'; the settings have a4, letter."


# -- the ticket beside the art -----------------------------------------------------------------------------------------


def test_overs_date_and_note_come_from_the_ticket(drop, pair):
    ticket = b'overs = "5 %"\ndue = 2026-12-24\nnote = "matt"'
    drop("lantern_front.png", "lantern_back.png", **{"lantern.toml": ticket})
    (plan,) = pair()
    assert (str(plan.wishes.overs), str(plan.wishes.due), plan.wishes.note) == ("5 %", "2026-12-24", "matt")


def test_the_ticket_travels_with_the_order(drop, pair):
    drop("lantern_front.png", "lantern_back.png", **{"Lantern.toml": b"quantity = 4"})
    (plan,) = pair()
    assert [file.name for file in plan.files] == ["lantern_front.png", "lantern_back.png", "Lantern.toml"]


def test_a_lone_ticket_misses_its_art(drop, pair):
    drop(**{"lantern.toml": b"quantity = 4"})
    (plan,) = pair()
    assert (plan.name, plan.missing, plan.fault) == ("lantern", "art", None)


def test_two_tickets_that_differ_are_held(drop, pair):
    drop("lantern_front.png", **{"lantern.toml": b"quantity = 4", "lantern (1).toml": b"quantity = 5"})
    assert "two different job tickets, lantern (1).toml and lantern.toml" in _fault(pair())


def test_two_tickets_of_the_same_bytes_are_one(drop, pair):
    drop("tag/a.png", **{"tag/a.toml": b"quantity = 4", "tag/a (1).toml": b"quantity = 4"})
    (plan,) = pair()
    assert (plan.wishes.quantity, plan.fault, len(plan.files)) == (4, None, 3)


def test_a_ticket_with_faults_holds_its_order_with_all_of_them(drop, pair):
    drop("lantern_front.png", "lantern_back.png", **{"lantern.toml": b'quantity = "many"\nsheets = "a4"'})
    fault = _fault(pair())
    assert "quantity is" in fault
    assert "sheets is not known" in fault


# -- one-sided cards, common sides -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["lantern.png", "lantern_front.png", "lantern_recto_x3.png"])
def test_a_one_sided_card_takes_art_with_and_without_a_side_word(drop, pair, name):
    drop(f"tag/{name}")
    (plan,) = pair()
    assert _sides(plan) == {"front": name}
    assert (plan.missing, plan.fault) == (None, None)


def test_a_back_for_a_one_sided_card_is_held(drop, pair):
    drop("tag/lantern_back.png")
    assert "lantern_back.png is a back, but the card tag is printed on one side." in _fault(pair())


@pytest.mark.parametrize("name", ["lantern.png", "lantern_front.png"])
def test_a_common_back_leaves_the_front_to_the_order(drop, pair, name):
    drop(f"menu/{name}")
    (plan,) = pair()
    assert _sides(plan) == {"front": name}
    assert plan.missing is None


@pytest.mark.parametrize("name", ["lantern.png", "lantern_verso.png"])
def test_a_common_front_leaves_the_back_to_the_order(drop, pair, name):
    drop(f"voucher/{name}")
    (plan,) = pair()
    assert _sides(plan) == {"back": name}
    assert plan.missing is None


def test_a_side_that_is_common_is_held_when_it_comes(drop, pair):
    drop("menu/lantern_front.png", "menu/lantern_back.png")
    fault = _fault(pair())
    assert "every menu card has the same back (common_back in the settings)" in fault


def test_the_common_sides_are_told_with_their_files(settings):
    assert common_art(settings.card("menu")) == {Side.BACK: settings.folder / "menu-back.png"}
    assert common_art(settings.card("voucher")) == {Side.FRONT: settings.folder / "voucher-front.png"}
    assert common_art(settings.card("invitation")) == {}


# -- PDF ---------------------------------------------------------------------------------------------------------------


def test_two_pages_are_front_and_back(drop, pair, make):
    drop(**{"lantern.pdf": make.pdf(2)})
    (plan,) = pair()
    assert _sides(plan) == {"front": ("lantern.pdf", 0), "back": ("lantern.pdf", 1)}
    assert len(plan.files) == 1


def test_one_page_is_a_front_and_waits_for_a_back(drop, pair, make):
    drop(**{"lantern.pdf": make.pdf(1)})
    (plan,) = pair()
    assert _sides(plan) == {"front": ("lantern.pdf", 0)}
    assert plan.missing == "back"


def test_one_page_with_a_side_word_is_that_side(drop, pair, make):
    drop("lantern_front.png", **{"lantern_back.pdf": make.pdf(1)})
    (plan,) = pair()
    assert _sides(plan) == {"front": "lantern_front.png", "back": ("lantern_back.pdf", 0)}


@pytest.mark.parametrize(("card", "side"), [("tag", "front"), ("menu", "front"), ("voucher", "back")])
def test_one_page_is_the_one_side_that_is_wanted(drop, pair, make, card, side):
    drop(**{f"{card}/lantern.pdf": make.pdf(1)})
    (plan,) = pair()
    assert _sides(plan) == {side: ("lantern.pdf", 0)}
    assert plan.missing is None


def test_two_pages_with_a_side_word_are_held(drop, pair, make):
    drop("lantern_back.png", **{"lantern_front.pdf": make.pdf(2)})
    assert "lantern_front.pdf has 2 pages, but only its front is wanted" in _fault(pair())


def test_two_pages_that_are_called_a_back_of_a_one_sided_card_are_held_for_that(drop, pair, make):
    drop(**{"tag/lantern_back.pdf": make.pdf(2)})
    assert "is a back, but the card tag is printed on one side" in _fault(pair())


def test_three_pages_are_held(drop, pair, make):
    drop(**{"lantern.pdf": make.pdf(3)})
    fault = _fault(pair())
    assert "lantern.pdf has 3 pages; a card has two, front and back. Export those two." in fault
    assert 'write designs = "pages" in its job ticket' in fault


def test_a_two_page_pdf_beside_an_image_for_the_back_is_held(drop, pair, make):
    drop("lantern_back.png", **{"lantern.pdf": make.pdf(2)})
    assert "two different files for the back: lantern.pdf and lantern_back.png" in _fault(pair())


# -- ZIP ---------------------------------------------------------------------------------------------------------------


def _zip(make, *names: str) -> bytes:
    return make.packed({name: make.png(name) for name in names})


def test_numbered_pages_are_front_and_back(drop, pair, make):
    drop(**{"spring menu_x20.zip": _zip(make, "2.png", "1.png")})
    (plan,) = pair()
    assert plan.name == "spring menu"
    assert plan.wishes.quantity == 20
    assert _sides(plan) == {"front": "1.png in spring menu_x20.zip", "back": "2.png in spring menu_x20.zip"}


def test_bare_side_words_take_the_zips_name(drop, pair, make):
    drop(**{"spring.zip": _zip(make, "back.png", "front.png")})
    (plan,) = pair()
    assert (plan.name, plan.missing) == ("spring", None)


@pytest.mark.parametrize(("card", "side"), [("tag", "front"), ("menu", "front"), ("voucher", "back")])
def test_page_one_is_the_one_side_that_is_wanted(drop, pair, make, card, side):
    drop(**{f"{card}/spring.zip": _zip(make, "1.png")})
    (plan,) = pair()
    assert _sides(plan) == {side: "1.png in spring.zip"}
    assert (plan.missing, plan.fault) == (None, None)


@pytest.mark.parametrize("card", ["tag", "menu", "voucher"])
def test_a_page_two_alone_where_one_is_wanted_is_held(drop, pair, make, card):
    drop(**{f"{card}/spring.zip": _zip(make, "2.png")})
    assert f"2.png in spring.zip is a second page, but the card {card} takes one page an order" in _fault(pair())


def test_a_numbered_page_in_a_zip_that_says_back_is_no_front(drop, pair, make):
    """Never guess: the page of `spring_back.zip` is a back, which a one-sided card does not have."""
    drop(**{"tag/spring_back.zip": _zip(make, "1.png")})
    assert "is a back, but the card tag is printed on one side" in _fault(pair())


def test_a_zip_that_says_its_side_finds_the_other_beside_it(drop, pair, make):
    drop("spring_front.png", **{"spring_back.zip": _zip(make, "1.png")})
    (plan,) = pair()
    assert _sides(plan) == {"front": "spring_front.png", "back": "1.png in spring_back.zip"}


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
    assert _sides(plan) == {"front": ("1.pdf in spring.zip", 0), "back": ("1.pdf in spring.zip", 1)}


def test_a_quantity_on_the_zip_and_another_on_its_member_are_held(drop, pair, make):
    drop(**{"spring_x20.zip": _zip(make, "spring_x30_front.png", "spring_back.png")})
    assert "spring_x30_front.png asks for 30 cards, but spring_x20.zip for 20" in _fault(pair())


def test_a_zip_called_by_a_side_word_names_no_order(drop, pair, make):
    drop(**{"front.zip": _zip(make, "1.png")})
    assert "names no order" in _fault(pair())


# -- copies ------------------------------------------------------------------------------------------------------------


def test_a_browsers_copy_of_the_same_bytes_is_nothing_new(drop, pair, make):
    same = make.png("f")
    drop("a_back.png", **{"a_front.png": same, "a_front (1).png": same})
    (plan,) = pair()
    assert _sides(plan)["front"] == "a_front.png"
    assert [found.file.name for found in plan.beside] == ["a_front (1).png"]
    assert len(plan.files) == 3


def test_a_browsers_copy_of_other_bytes_is_held(drop, pair):
    drop("a_back.png", "a_front.png", "a_front (1).png")
    assert "two different files for the front: a_front.png and a_front (1).png" in _fault(pair())


def test_two_names_for_one_side_are_held_in_every_case(drop, pair):
    drop("a_front.png", "A_recto.png", "a_back.png")
    assert "two different files for the front" in _fault(pair())


def test_the_same_zip_downloaded_twice_is_nothing_new(drop, pair, make):
    drop(**{"a.zip": _zip(make, "1.png", "2.png"), "a (1).zip": _zip(make, "1.png", "2.png")})
    (plan,) = pair()
    assert _sides(plan) == {"front": "1.png in a.zip", "back": "2.png in a.zip"}
    assert [file.name for file in plan.files] == ["a.zip", "a (1).zip"]


def test_the_same_two_page_pdf_twice_is_nothing_new(drop, pair, make):
    drop(**{"a.pdf": make.pdf(2), "a (1).pdf": make.pdf(2)})
    (plan,) = pair()
    assert (plan.fault, len(plan.pieces), len(plan.files)) == (None, 2, 2)


def test_a_held_plan_keeps_every_file(drop, pair):
    drop("a_back.png", "a_front.png", "a_front (1).png", **{"a.toml": b"quantity = 3"})
    (plan,) = pair()
    assert len(plan.files) == 4


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
