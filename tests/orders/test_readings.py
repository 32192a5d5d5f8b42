"""Names that can be read in two ways are settled by what lies beside them, or held with the names that settle it."""

import pytest

from watcher.orders.readings import loose_key


def _orders(plans):
    return {plan.name: (plan.missing, plan.fault) for plan in plans}


@pytest.mark.parametrize(
    ("front", "back", "order"),
    [
        ("Front of menu.png", "Back of menu.png", "menu"),
        ("menu FRONT (1).png", "menu_back.png", "menu"),
        ("menu-front-final2.png", "menu-back-final2.png", "menu-final2"),
        ("menu-front-final2.png", "menu-back.png", "menu-final2"),
        ("FRONT_menu.jpg", "menu BACK.png", "menu"),
        ("Vorderseite Fest x50.png", "Fest Rueckseite.png", "Fest"),
        ("spring-menu front.png", "spring menu_back.png", "spring-menu"),
        ("50x menu front.png", "menu back v2.png", "menu"),
        ("menu.png", "menu back.png", "menu"),
        ("front-to-school.png", "back-to-school.png", "to-school"),
        ("menu recto.png", "menu achterkant.png", "menu"),
    ],
)
def test_a_front_and_a_back_find_each_other(drop, pair, front, back, order):
    drop(front, back)
    (plan,) = pair()
    assert (plan.name, plan.missing, plan.fault) == (order, None, None)
    assert {str(piece.side): piece.found.file.name for piece in plan.pieces} == {"front": front, "back": back}


def test_a_side_word_at_the_end_goes_before_one_elsewhere(drop, pair):
    drop("back-to-school_front.png", "back-to-school_back.png")
    assert _orders(pair()) == {"back-to-school": (None, None)}


def test_a_title_with_a_side_word_is_a_title_on_a_one_sided_card(drop, pair):
    drop("tag/back-to-school.png", "tag/front-garden.png")
    assert _orders(pair()) == {"back-to-school": (None, None), "front-garden": (None, None)}


def test_a_document_of_two_pages_needs_no_side(drop, pair, make):
    drop(**{"back-to-school.pdf": make.pdf(2)})
    assert _orders(pair()) == {"back-to-school": (None, None)}


def test_a_job_ticket_tells_which_name_is_meant(drop, pair):
    drop("back-to-school_front.png", "back-to-school_back.png", **{"back-to-school.toml": b"quantity = 5"})
    (plan,) = pair()
    assert plan.wishes.quantity == 5


def test_a_complete_order_takes_in_no_other_back(drop, pair):
    drop("to-school_front.png", "to-school_back.png", "back-to-school.png")
    orders = _orders(pair())
    assert orders["to-school"] == (None, None)
    assert "Name it back-to-school_front.png or back-to-school_back.png" in orders["back-to-school"][1]


def test_where_both_readings_have_something_for_them_neither_is_chosen(drop, pair):
    drop("back menu.png", "menu_front.png", "back menu_front.png")
    (fault,) = [plan.fault for plan in pair() if plan.fault]
    assert fault == (
        'back menu.png may be the back of menu, or belong to back menu; name it menu_back.png or "back menu_back.png".'
    )


def test_two_fronts_for_one_back_are_not_chosen_from(drop, pair):
    drop("menu-front-v1.png", "menu-front-v2.png", "menu-back.png")
    hints = {plan.name: plan.hint for plan in pair()}
    assert hints["menu"] == (
        "Put the front into the inbox as menu_front.png. Which one it goes with is not clear: menu-front-v1.png (then"
        " name this one menu-v1_back.png) or menu-front-v2.png (then name this one menu-v2_back.png)."
    )


def test_two_pictures_without_a_side_are_held_together(drop, pair):
    drop("menu 1.png", "menu 2.png", "other.png")
    plans = {plan.name: plan for plan in pair()}
    assert set(plans) == {"menu 1", "other"}
    assert "name the front menu_front.png and the back menu_back.png" in plans["menu 1"].fault
    assert len(plans["menu 1"].files) == 2


def test_a_third_picture_beside_a_front_and_a_back_is_to_be_taken_away(drop, pair):
    drop("invitation/party_front.png", "invitation/party_back.png", "invitation/party.png")
    (fault,) = [plan.fault for plan in pair() if plan.fault]
    assert fault.startswith("party.png does not say which side it is, and the front and the back are there already.")


def test_a_lone_half_says_the_very_name_of_the_other(drop, pair):
    drop("Back of Fête.png")
    (plan,) = pair()
    assert plan.missing == "front"
    assert plan.hint == (
        "Put the front into the inbox as Fête_front.png. When this is no back, but a card called Back of Fête, name its"
        ' two sides "Back of Fête_front.png" and "Back of Fête_back.png".'
    )


def test_the_name_is_in_the_words_of_the_settings(drop, find, settings, read):
    from watcher.orders.pairing import Table, pair_sides
    from watcher.settings.names import NameSettings

    own = settings.model_copy(update={"names": NameSettings(front=("Vorderseite",), back=("Rückseite",))})
    drop("menu.png")
    (plan,) = pair_sides(Table(found=find()), own, read)
    assert "Name it menu_Vorderseite.png or menu_Rückseite.png" in plan.fault


@pytest.mark.parametrize("name", ["menu final2", "menu-FINAL", "menu_v3", "menu", "menu.neu", "menu edited copy"])
def test_versions_of_a_name_are_alike(name):
    assert loose_key(name) == "menu"


def test_a_name_of_version_words_alone_keeps_them():
    assert loose_key("final") == "final"
