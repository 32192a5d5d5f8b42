"""File names of README's "Naming what you drop" taken apart; the order's name made safe for every file system."""

import os
from types import SimpleNamespace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from watcher.inbox.names import read_name
from watcher.inbox.tidy import tidy_order_name
from watcher.terms import Side

FRONT, BACK = Side.FRONT, Side.BACK
WORDS = SimpleNamespace(front=("front", "recto"), back=("back", "verso"))
OWN_WORDS = SimpleNamespace(front=("Vorderseite", "side"), back=("Rückseite", "back side", "b"))

NAMES = {
    # name: (order, side, quantity, extension)
    "lantern-walk_x50_front.png": ("lantern-walk", FRONT, 50, "png"),
    "lantern-walk_x50_back.png": ("lantern-walk", BACK, 50, "png"),
    "lantern-walk_front_x50.png": ("lantern-walk", FRONT, 50, "png"),
    "lantern-walk-front.JPG": ("lantern-walk", FRONT, None, "jpg"),
    "lantern walk back.tiff": ("lantern walk", BACK, None, "tiff"),
    "lantern.recto.pdf": ("lantern", FRONT, None, "pdf"),
    "LANTERN_VERSO.PNG": ("LANTERN", BACK, None, "png"),
    "menu.png": ("menu", None, None, "png"),
    "menu_x2.png": ("menu", None, 2, "png"),
    "menu X12.png": ("menu", None, 12, "png"),
    "menu.x3.zip": ("menu", None, 3, "zip"),
    "menu - x40 - front.png": ("menu", FRONT, 40, "png"),
    "back-to-school_front.png": ("back-to-school", FRONT, None, "png"),
    "front_page_back.png": ("front_page", BACK, None, "png"),
    "front_front.png": ("front", FRONT, None, "png"),
    "menu_front_back.png": ("menu_front", BACK, None, "png"),
    "storefront.png": ("storefront", None, None, "png"),
    "box50_front.png": ("box50", FRONT, None, "png"),
    "x50_front.png": ("x50", FRONT, None, "png"),
    "50x70_front.png": ("50x70", FRONT, None, "png"),
    "menu_x050_front.png": ("menu", FRONT, 50, "png"),
    "menu_x1000000.png": ("menu", None, 1_000_000, "png"),
    "menu_x²_front.png": ("menu_x²", FRONT, None, "png"),
    "menu_front.png.png": ("menu", FRONT, None, "png"),
    "menu": ("menu", None, None, ""),
    "menu_front": ("menu", FRONT, None, ""),
}


@pytest.mark.parametrize(("name", "wanted"), NAMES.items())
def test_order_side_quantity_and_ending(name, wanted):
    parts = read_name(name, WORDS)
    assert (parts.order, parts.side, parts.quantity, parts.extension) == wanted
    assert parts.fault is None


@pytest.mark.parametrize(
    ("name", "copy"),
    [
        ("menu_front (1).png", 1),
        ("menu_front(2).png", 2),
        ("menu_front@2x.png", None),
        ("menu_front@1.5x.png", None),
        ("menu_front@2x (3).png", 3),
        ("menu_front (3)@2X.png", 3),
        ("menu_front (1) (2).png", 1),
        ("menu@3x_front.png", None),
        ("menu_front_@2x.png", None),
        ("menu_front .png", None),
    ],
)
def test_a_browsers_number_and_a_pixel_scale_count_for_nothing(name, copy):
    parts = read_name(name, WORDS)
    assert (parts.order, parts.side, parts.quantity, parts.copy) == ("menu", FRONT, None, copy)


@pytest.mark.parametrize("name", ["menu (1)_front.png", "menu (2026).png", "(1).png", "@2x.png"])
def test_what_only_looks_like_these_belongs_to_the_order(name):
    parts = read_name(name, WORDS)
    assert parts.copy is None
    assert parts.order == name.removesuffix(".png").removesuffix("_front")


@pytest.mark.parametrize(
    "name", ["front.png", "FRONT.png", "recto.pdf", "front (1).png", "front@2x.png", "front_x5.png"]
)
def test_a_side_word_alone_is_told(name):
    parts = read_name(name, WORDS)
    assert (parts.bare_side, parts.side, parts.page_number) == (True, FRONT, None)


@pytest.mark.parametrize(("name", "page"), [("1.png", 1), ("02.png", 2), ("2 (1).png", 2), ("1_x30.png", 1)])
def test_a_number_alone_is_a_page(name, page):
    parts = read_name(name, WORDS)
    assert (parts.page_number, parts.side, parts.bare_side) == (page, None, False)


@pytest.mark.parametrize("name", ["0.png", "1_front.png", "1a.png", "20261224.png", "menu.png", "١.png"])
def test_other_names_are_no_page(name):
    assert read_name(name, WORDS).page_number is None


@pytest.mark.parametrize(
    ("name", "order", "side"),
    [
        ("menu_Ru\u0308ckseite.png", "menu", BACK),  # accents apart (NFD), as some systems store them
        ("menu_R\u00dcCKSEITE.png", "menu", BACK),
        ("menu_back side.png", "menu", BACK),  # the longest word wins over "side"
        ("menu_side.png", "menu", FRONT),
        ("menu_b.png", "menu", BACK),
        ("menu_front.png", "menu_front", None),
    ],
)
def test_side_words_come_from_the_settings(name, order, side):
    parts = read_name(name, OWN_WORDS)
    assert (parts.order, parts.side) == (order, side)


def test_names_that_people_read_as_the_same_have_one_key():
    apart, composed = read_name("Cafe\u0301_front.png", WORDS), read_name("CAF\u00c9_back.png", WORDS)
    assert apart.key == composed.key
    assert apart.order == "Cafe\u0301"


@pytest.mark.parametrize("digits", ["0", "000", "1000001", "9" * 5000])
def test_a_quantity_outside_one_to_a_million_is_a_fault(digits):
    parts = read_name(f"menu_x{digits}_front.png", WORDS)
    assert (parts.quantity, parts.order, parts.side) == (None, "menu", FRONT)
    assert "a quantity is 1 to 1,000,000" in parts.fault


def test_a_name_without_an_order_is_a_fault():
    assert "has no order name" in read_name(" .png", WORDS).fault


def test_a_very_long_name_takes_no_time():
    """A ZIP may name its members with up to 65,535 bytes."""
    for sign in ("_", "x1_", " (", "@2x", "1", "\u0301"):
        read_name(sign * (65_000 // len(sign)) + ".png", WORDS)


words = st.sampled_from(["front", "recto", "back", "verso", "FRONT", "Back"])
gaps = st.sampled_from("_-. ")
plain_orders = st.text(st.characters(categories=["L", "Nd"]), min_size=1, max_size=20)


@given(plain_orders, words, st.none() | st.integers(1, 1_000_000), gaps, gaps, st.booleans())
def test_what_a_person_writes_is_read_back(order, word, quantity, gap, second_gap, quantity_first):
    assume(read_name(order, WORDS).order == order)  # not a name that is itself a side word or a number
    count = f"{gap}x{quantity}" if quantity else ""
    side = f"{second_gap}{word}"
    name = f"{order}{count}{side}.png" if quantity_first else f"{order}{side}{count}.png"
    parts = read_name(name, WORDS)
    assert (parts.order, parts.quantity, parts.extension) == (order, quantity, "png")
    assert parts.side is (FRONT if word.lower() in WORDS.front else BACK)


@given(st.text())
def test_no_text_crashes(name):
    parts = read_name(name, WORDS)
    assert parts.fault is None or "\n" not in parts.fault


@given(st.binary(max_size=60))
def test_no_bytes_crash(raw):
    """A name on disk may be any bytes; Python shows what is no UTF-8 as lone surrogates."""
    parts = read_name(os.fsdecode(raw + b"_back.png"), WORDS)
    assert parts.extension == "png"
    assert parts.side is BACK
    tidy_order_name(parts.order).encode()
