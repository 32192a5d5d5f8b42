"""Values of options: read with patience, refused in our words."""

from datetime import date

import pytest

from watcher.commands.init import Starter
from watcher.commands.options import day, one_of, whole_number
from watcher.errors import WrongUsage


@pytest.mark.parametrize(("text", "number"), [("1", 1), (" 20 ", 20), ("007", 7), (5, 5)])
def test_a_whole_number_is_read(text, number):
    assert whole_number("--only", most=20)(text) == number


@pytest.mark.parametrize("text", ["0", "21", "-1", "+1", "1.0", "1e1", "", "two", "\u0663", "9" * 5000])
def test_another_number_is_refused_with_the_bounds(text):
    with pytest.raises(WrongUsage, match="write a whole number from 1 to 20, such as --only 2"):
        whole_number("--only", most=20)(text)


def test_a_day_is_read_as_iso_8601():
    assert day("--since")(" 2026-02-28 ") == date(2026, 2, 28)


@pytest.mark.parametrize("text", ["2026-02-29", "1.2.2026", "yesterday", ""])
def test_another_day_is_refused_with_an_example(text):
    with pytest.raises(WrongUsage, match="write year, month and day, such as --since 2026-01-31"):
        day("--since")(text)


def test_a_choice_is_read_whatever_its_case():
    assert one_of("--for", Starter)(" Home-LASER ") is Starter.HOME_LASER


def test_another_choice_is_refused_with_all_there_are():
    with pytest.raises(WrongUsage, match="write one of: home-laser, home-inkjet, shop"):
        one_of("--for", Starter)("home")
