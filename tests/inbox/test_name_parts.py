"""Names written for people to follow, and the number at the end of one."""

from types import SimpleNamespace

import pytest

from watcher.inbox.name_parts import split_number, written_name
from watcher.inbox.names import read_name
from watcher.terms import Side

WORDS = SimpleNamespace(front=("front", "recto"), back=("back", "verso"))


@pytest.mark.parametrize(
    ("name", "said", "written"),
    [
        ("menu.png", {"side": Side.BACK}, "menu_back.png"),
        ("menu recto.png", {}, "menu_front.png"),
        ("menu_front.png", {"side": Side.BACK, "quantity": 50}, "menu_x50_back.png"),
        ("spring menu.pdf", {"quantity": "7"}, '"spring menu_x7.pdf"'),
        ("menu", {"side": Side.FRONT}, "menu_front"),
    ],
)
def test_a_name_is_written_so_that_it_says_what_is_meant(name, said, written):
    assert written_name(read_name(name, WORDS), WORDS, **said) == written


@pytest.mark.parametrize(
    ("name", "order", "side"),
    [("back-to-school", "back-to-school", None), ("menu back", "menu", Side.BACK), ("menu", "menu", None)],
)
def test_at_its_end_alone_a_side_word_may_count(name, order, side):
    at_its_end = read_name(f"{name}.png", WORDS).at_its_end
    assert (at_its_end.order, at_its_end.side) == (order, side)


@pytest.mark.parametrize(
    ("order", "split"),
    [
        ("spring_07", ("spring", 7)),
        ("spring-7", ("spring", 7)),
        ("table 12", ("table", 12)),
        ("a.b.001", ("a.b", 1)),
        ("menu_2026_24", ("menu_2026", 24)),
        ("spring_9999", ("spring", 9999)),
        ("spring7", None),
        ("spring_0", None),
        ("spring_10000", None),
        ("spring_1234567890123", None),
        ("spring_\u0663", None),
        ("_7", None),
        ("7", None),
        ("spring_", None),
        ("", None),
    ],
)
def test_a_number_at_the_end_is_that_of_a_design(order, split):
    assert split_number(order) == split
