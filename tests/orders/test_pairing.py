"""What lies under one name is put together as design section 5 says, and held where it does not say."""

import unicodedata

import pytest

from tests.orders.an_order import fault_of, sides_of
from watcher.orders.pairing import Table, common_art, pair_sides
from watcher.orders.readings import group_key
from watcher.terms import Side

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
    fault = fault_of(pair_sides(Table(found=find()), none, read))
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
    fault = fault_of(pair_sides(Table(found=find()), settings, read))
    assert "'seasonal', which is no longer in the settings" in fault


def test_the_ticket_names_the_sheet_in_any_case(drop, pair):
    drop("lantern_front.png", "lantern_back.png", **{"lantern.toml": b'sheet = "A4"'})
    (plan,) = pair()
    assert plan.wishes.sheet == "a4"


def test_a_sheet_that_is_not_in_the_settings_is_held(drop, pair):
    drop("lantern_front.png", "lantern_back.png", **{"lantern.toml": b'sheet = "a3"'})
    assert fault_of(pair()) == "The job ticket asks for the sheet 'a3'; the settings have a4, letter."


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
    assert "two different job tickets, lantern (1).toml and lantern.toml" in fault_of(pair())


def test_two_tickets_of_the_same_bytes_are_one(drop, pair):
    drop("tag/a.png", **{"tag/a.toml": b"quantity = 4", "tag/a (1).toml": b"quantity = 4"})
    (plan,) = pair()
    assert (plan.wishes.quantity, plan.fault, len(plan.files)) == (4, None, 3)


def test_a_ticket_with_faults_holds_its_order_with_all_of_them(drop, pair):
    drop("lantern_front.png", "lantern_back.png", **{"lantern.toml": b'quantity = "many"\nsheets = "a4"'})
    fault = fault_of(pair())
    assert "quantity is" in fault
    assert "sheets is not known" in fault


# -- one-sided cards, common sides -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["lantern.png", "lantern_front.png", "lantern_recto_x3.png"])
def test_a_one_sided_card_takes_art_with_and_without_a_side_word(drop, pair, name):
    drop(f"tag/{name}")
    (plan,) = pair()
    assert sides_of(plan) == {"front": name}
    assert (plan.missing, plan.fault) == (None, None)


def test_a_back_for_a_one_sided_card_is_held(drop, pair):
    drop("tag/lantern_back.png")
    assert "lantern_back.png is a back, but the card tag is printed on one side." in fault_of(pair())


@pytest.mark.parametrize("name", ["lantern.png", "lantern_front.png"])
def test_a_common_back_leaves_the_front_to_the_order(drop, pair, name):
    drop(f"menu/{name}")
    (plan,) = pair()
    assert sides_of(plan) == {"front": name}
    assert plan.missing is None


@pytest.mark.parametrize("name", ["lantern.png", "lantern_verso.png"])
def test_a_common_front_leaves_the_back_to_the_order(drop, pair, name):
    drop(f"voucher/{name}")
    (plan,) = pair()
    assert sides_of(plan) == {"back": name}
    assert plan.missing is None


def test_a_side_that_is_common_is_held_when_it_comes(drop, pair):
    drop("menu/lantern_front.png", "menu/lantern_back.png")
    fault = fault_of(pair())
    assert "every menu card has the same back (common_back in the settings)" in fault


def test_the_common_sides_are_told_with_their_files(settings):
    assert common_art(settings.card("menu")) == {Side.BACK: settings.folder / "menu-back.png"}
    assert common_art(settings.card("voucher")) == {Side.FRONT: settings.folder / "voucher-front.png"}
    assert common_art(settings.card("invitation")) == {}


# -- copies ------------------------------------------------------------------------------------------------------------


def test_a_browsers_copy_of_the_same_bytes_is_nothing_new(drop, pair, make):
    same = make.png("f")
    drop("a_back.png", **{"a_front.png": same, "a_front (1).png": same})
    (plan,) = pair()
    assert sides_of(plan)["front"] == "a_front.png"
    assert [found.file.name for found in plan.beside] == ["a_front (1).png"]
    assert len(plan.files) == 3


def test_a_browsers_copy_of_other_bytes_is_held(drop, pair):
    drop("a_back.png", "a_front.png", "a_front (1).png")
    assert "two different files for the front: a_front.png and a_front (1).png" in fault_of(pair())


def test_two_names_for_one_side_are_held_in_every_case(drop, pair):
    drop("a_front.png", "A_recto.png", "a_back.png")
    assert "two different files for the front" in fault_of(pair())


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
