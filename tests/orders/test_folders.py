"""Folders that are orders: with art in them, or empty with a name that asks for a repeat."""

import tomllib
from datetime import date

import pytest

from watcher.orders.folders import again_ticket, asks_again
from watcher.settings.names import NameSettings

WORDS = NameSettings()


@pytest.mark.parametrize(
    ("folder", "files"),
    [
        ("spring-menu x50 due 2026-12-24", ("front.png", "back.png")),
        ("spring-menu x50 due 24 Dec 2026", ("1.png", "2.png")),
        ("spring-menu_50pcs_due_2026-12-24", ("Vorderseite.png", "Rückseite.png")),
        ("due 24.12.2026 50x spring-menu now", ("Front of it.png", "whatever back.png")),
        ("spring-menu x50 due 2026-12-24", ("cover.png", "back.png")),
    ],
)
def test_a_folder_with_art_is_an_order_of_its_name(drop, gather_now, folder, files):
    drop(*(f"{folder}/{file}" for file in files))
    (plan,) = gather_now().plans
    assert (plan.name, plan.missing, plan.fault, plan.came_in) == ("spring-menu", None, None, folder)
    assert (plan.wishes.quantity, plan.wishes.due) == (50, date(2026, 12, 24))
    assert {file.name for file in plan.files} == set(files)


def test_now_in_its_name_puts_it_before_all_others(drop, gather_now):
    drop("menu now/front.png", "menu now/back.png")
    assert gather_now().plans[0].wishes.now


def test_a_document_in_a_folder_may_be_called_anything(drop, gather_now, make):
    drop(**{"spring-menu x50/Untitled design.pdf": make.pdf(2)})
    (plan,) = gather_now().plans
    assert (plan.name, plan.missing, plan.wishes.quantity) == ("spring-menu", None, 50)


def test_a_zip_in_a_folder_takes_the_folders_name(drop, gather_now, make):
    drop(**{"spring-menu x5/export.zip": make.packed({"1.png": make.png("1"), "2.png": make.png("2")})})
    (plan,) = gather_now().plans
    assert (plan.name, plan.missing, plan.wishes.quantity) == ("spring-menu", None, 5)


def test_a_ticket_of_any_name_goes_with_it(drop, gather_now):
    drop("dinner/front.png", "dinner/back.png", **{"dinner/job.toml": b"quantity = 7"})
    (plan,) = gather_now().plans
    assert plan.wishes.quantity == 7


def test_pages_in_a_folder_of_a_one_sided_card_are_designs_and_more_may_come(drop, gather_now, inbox):
    (inbox / "tag/names").mkdir(parents=True)
    drop("tag/names/1.png", "tag/names/2.png", "tag/names/3.png")
    (plan,) = gather_now().plans
    assert (plan.name, plan.folder, plan.open_ended) == ("names", "tag", True)
    assert [piece.design for piece in plan.pieces] == [1, 2, 3]


def test_a_half_in_a_folder_waits_for_the_other(drop, gather_now):
    drop("menu x5/front.png")
    (plan,) = gather_now().plans
    assert plan.missing == "back"
    assert plan.hint.startswith("Put the back into this folder as back.png, and the folder into the inbox")


def test_pictures_of_other_names_in_a_folder_are_not_guessed_about(drop, gather_now, inbox):
    (inbox / "tag/party").mkdir(parents=True)
    drop("tag/party/anna.png", "tag/party/bob.png")
    (plan,) = gather_now().plans
    assert "name them by numbers, 1.png, 2.png" in plan.fault


@pytest.mark.parametrize(
    ("put", "said"),
    [
        ("empty", "empty: an empty folder. Put a front and a back into it"),
        ("outer/inner/a.png", "outer: there is a folder or a link in it (inner)"),
        ("words/letter.docx", "words: a folder that is no card's, without art in it"),
    ],
)
def test_other_folders_are_left_alone_with_the_way_out(inbox, gather_now, put, said):
    path = inbox / put
    path.parent.mkdir(parents=True, exist_ok=True)
    path.mkdir() if "." not in path.name else path.write_bytes(b"x")
    look = gather_now()
    assert look.plans == ()
    assert look.gathered.left_alone[0].startswith(said)


# -- again -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "ticket"),
    [
        ("again spring-menu", {"repeat": "spring-menu"}),
        ("again spring-menu x40", {"repeat": "spring-menu"}),
        ("Again_spring-menu_40pcs due 24 Dec", {"repeat": "spring-menu"}),
        ("repeat spring-menu", {"repeat": "spring-menu"}),
        ("spring-menu again x40", {"repeat": "spring-menu"}),
        ("again spring-menu only 17", {"repeat": "spring-menu", "only": [17]}),
        ("again spring-menu only 3, 17 and 20", {"repeat": "spring-menu", "only": [3, 17, 20]}),
        ("again spring-menu only 3-5 x2", {"repeat": "spring-menu", "only": [3, 4, 5]}),
        ("again spring-menu only 17 cards", {"repeat": "spring-menu"}),
        ("again spring-menu 2 sheets", {"repeat": "spring-menu", "sheets_only": 2}),
        ("again table 12", {"repeat": "table 12"}),
    ],
)
def test_an_empty_folder_asks_for_a_repeat(name, ticket):
    assert tomllib.loads(again_ticket(name, WORDS).decode()) == ticket


@pytest.mark.parametrize("name", ["again", "spring-menu x40", "against all odds", "see you", "once against"])
def test_other_names_ask_for_nothing(name):
    assert again_ticket(name, WORDS) is None


def test_it_is_a_repeat_with_the_quantity_and_the_day_of_its_name(inbox, gather_now):
    (inbox / "again spring-menu x40 due 2026-12-24").mkdir()
    (plan,) = gather_now().plans
    assert (plan.repeat.order, plan.wishes.quantity, plan.wishes.due) == ("spring-menu", 40, date(2026, 12, 24))


def test_art_in_it_makes_it_an_order_like_any_other(drop, gather_now):
    drop("again spring-menu/front.png", "again spring-menu/back.png")
    (plan,) = gather_now().plans
    assert (plan.name, plan.repeat) == ("again spring-menu", None)


def test_the_words_are_told_from_other_words():
    assert asks_again("again menu")
    assert not asks_again("against menu")


@pytest.mark.parametrize("files", [("menu ok/a_front.png",), ("dinner/a_front.png", "dinner/why.txt")])
def test_a_held_order_that_a_slow_sync_brings_back_is_no_new_order(drop, gather_now, files):
    drop(*files)
    look = gather_now()
    assert look.plans == ()
    assert "held.toml of a held order has not come into this folder" in look.gathered.left_alone[0]
