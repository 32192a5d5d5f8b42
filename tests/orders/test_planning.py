"""One order out of what lies under its name: its card and sheet, its ticket, its sides, and copies of them."""

import pytest

from tests.orders.an_order import fault_of, sides_of
from watcher.orders.pairing import Table, pair_sides
from watcher.orders.pieces import SideUnsaid

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


def test_art_that_says_no_side_is_named_in_its_plan(drop, pair):
    drop("party.png", "party_front.png", "party_back.png")
    (plan,) = pair()
    assert [found.shown for found in plan.unsaid] == ["party.png"]
    assert (plan.name, plan.fault_code) == ("party", SideUnsaid.code)
    assert plan.fault.startswith("party.png does not say which side it is")


@pytest.mark.parametrize(
    ("name", "ticket", "now"),
    [("lantern", b"", False), ("lantern now", b"", True), ("lantern", b"now = true", True)],
)
def test_the_name_or_the_ticket_may_ask_for_it_now(drop, pair, name, ticket, now):
    drop(f"tag/{name}.png", **({"tag/lantern.toml": ticket} if ticket else {}))
    (plan,) = pair()
    assert plan.wishes.now is now
