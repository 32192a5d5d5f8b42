"""`due DATE` in names, as people write days."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.inbox.named_day import NamedDay, find_due

TODAY = date(2026, 11, 30)  # a Monday


@pytest.mark.parametrize(
    "said",
    [
        "2026-12-24", "2026_12_24", "24 Dec", "24 dec.", "24. Dezember", "24.12.", "24.12", "24.12.2026", "24.12.26",
        "24 Dec 2026", "24-Dec-2026", "24th Dec", "24 of December", "Dec 24", "Dec_24", "December 24 2026", "24 déc",
        "24 de diciembre", "24 dicembre", "24 december", "24-12", "12-24", "24 de\u0301cembre",
    ],
)  # fmt: skip
def test_the_same_day_in_many_hands(said):
    found = find_due(f"spring menu due {said}")
    assert found is not None, said
    assert found.day is not None, said
    assert found.day.on_or_after(TODAY) == date(2026, 12, 24)
    assert found.end == len(f"spring menu due {said}".rstrip(".")) or said.endswith(".")


@pytest.mark.parametrize(
    ("said", "day"),
    [("Thu", date(2026, 12, 3)), ("monday", TODAY), ("Freitag", date(2026, 12, 4)), ("today", TODAY),
     ("tomorrow", date(2026, 12, 1)), ("29 Feb", date(2028, 2, 29)), ("29 Nov", date(2027, 11, 29)),
     ("30.11.", TODAY)],
)  # fmt: skip
def test_without_a_year_it_is_the_next_such_day(said, day):
    found = find_due(f"menu due {said} x50")
    assert found.day.on_or_after(TODAY) == day
    assert "menu due Thu x50"[: found.start] == "menu "


def test_a_day_with_its_year_may_have_passed():
    assert find_due("menu due 2025-12-24").day.on_or_after(TODAY) == date(2025, 12, 24)


@pytest.mark.parametrize("said", ["31.2.", "32 Dec", "2026-13-01", "5-6", "99"])
def test_a_day_that_is_none_is_told(said):
    found = find_due(f"menu due {said}")
    assert (found.day, found.says) == (None, f"due {said}")


@pytest.mark.parametrize("name", ["due-north", "due date party", "overdue 24 Dec", "residue", "due", "menu 24 Dec"])
def test_the_word_alone_says_nothing(name):
    assert find_due(name) is None


@given(st.dates(date(2026, 1, 1), date(2099, 12, 31)), st.dates(date(2026, 1, 1), date(2099, 12, 31)))
def test_the_next_such_day_is_never_past_and_less_than_a_year_away(day, first):
    named = NamedDay(month=day.month, day=day.day)
    found = named.on_or_after(first)
    assert (found.month, found.day) == (day.month, day.day)
    assert first <= found < first + timedelta(days=366 if (day.month, day.day) != (2, 29) else 9 * 366)


@given(st.text())
def test_no_text_crashes(text):
    find_due("due " + text)
