"""What is true of front and back is told once."""

import pytest

from watcher.orders.both_sides import BESIDES, said_of_sides
from watcher.terms import Finding, Level, Side


def found(message, side=Side.FRONT, code="low-resolution"):
    return Finding(level=Level.HOLD, code=code, message=message, side=side)


@pytest.mark.parametrize(
    ("front", "back"),
    [
        ("menu_front.png", "menu_back.png"),
        ("1.png in spring menu.zip", "2.png in spring menu.zip"),
        ("page 1 of menu.pdf", "page 2 of menu.pdf"),
        ("menu v1.5 FRONT.JPG", "menu v1.5 BACK.JPG"),
    ],
)
def test_the_same_of_both_is_one_entry_that_names_both(front, back):
    (told,) = said_of_sides([found(f"{front} is too small."), found(f"{back} is too small.", Side.BACK)])
    assert told.finding.message == f"{front} is too small. The same goes for {back}."
    assert (told.where, told.finding.side) == ("front and back", None)


def test_what_is_said_besides_names_the_other_file_alone():
    front, back = (f"{BESIDES}menu_{side}.png is cut." for side in Side)
    (told,) = said_of_sides([found(front), found(back, Side.BACK)])
    assert told.finding.message == "Besides: menu_front.png is cut. The same goes for menu_back.png."


def test_other_numbers_stay_in_one_entry():
    (told,) = said_of_sides([found("a_front.png has 74 ppi."), found("a_back.png has 82 ppi.", Side.BACK)])
    assert told.finding.message == "a_front.png has 74 ppi. a_back.png has 82 ppi."


def test_a_file_that_holds_both_is_named_once():
    (told,) = said_of_sides([found("menu.pdf is too small."), found("menu.pdf is too small.", Side.BACK)])
    assert told.finding.message == "menu.pdf is too small."


def test_what_differs_in_kind_or_is_of_one_side_stays_apart():
    findings = [found("a.png is soft."), found("b.png is blank.", Side.BACK, "blank-side"), found("Both.", None)]
    assert [(told.finding, told.where) for told in said_of_sides(findings)] == list(
        zip(findings, ("front", "back", ""), strict=True)
    )


def test_several_of_a_kind_on_one_side_are_not_put_together():
    findings = [found("1.png is soft."), found("2.png is soft."), found("3.png is soft.", Side.BACK)]
    assert [told.finding for told in said_of_sides(findings)] == findings


def test_of_very_many_findings_each_is_looked_at_once():
    """Before: each beside each. An answer of 50,000 reasons kept the program busy for six minutes."""
    looks = 0

    class Watched(list):
        def __iter__(self):
            nonlocal looks
            looks += 1
            return super().__iter__()

    told = said_of_sides(Watched(found(f"{at}.png is soft.", code=f"kind {at}") for at in range(100)))
    assert (len(told), looks) == (100, 2)
