"""Orders by the day on which they are needed."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from tests.status.a_day import finished
from watcher.status.model import Listed
from watcher.status.week import DueGroup, by_due, called, due_group, first_of, say_due, week_of

WEDNESDAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("days", "group"),
    [
        (-1, DueGroup.LATE),
        (0, DueGroup.TODAY),
        (1, DueGroup.THIS_WEEK),
        (4, DueGroup.THIS_WEEK),  # Sunday
        (5, DueGroup.LATER),
        (None, DueGroup.NO_DAY),
    ],
)
def test_a_week_ends_with_its_sunday(days, group):
    """ISO 8601: Monday is the first day of the week."""
    assert due_group(None if days is None else WEDNESDAY + timedelta(days=days), WEDNESDAY) is group


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (-2, "2 days late, due Mon 23 Nov"),
        (-1, "1 day late, due Tue 24 Nov"),
        (0, "due today"),
        (1, "due tomorrow, Thu 26 Nov"),
        (60, "due Sun 24 Jan 2027"),
    ],
)
def test_a_day_is_told_as_people_say_it(days, said):
    assert say_due(WEDNESDAY + timedelta(days=days), WEDNESDAY) == said


def test_orders_of_all_kinds_stand_by_their_day_and_then_as_they_came(full_day, now):
    first = replace(full_day.waiting.entries[0], order="first", since=now - timedelta(hours=3))
    late = replace(full_day.held.entries[0], folder="late", due=date(2026, 11, 2))
    seen = replace(full_day, waiting=Listed(entries=(*full_day.waiting.entries, first)), held=Listed(entries=(late,)))
    assert [called(entry) for entry in week_of(seen)] == ["late", "lantern", "first", "market", "tide"]
    groups = {group: len(entries) for group, entries in by_due(week_of(seen), now.date())}
    assert groups == {DueGroup.LATE: 1, DueGroup.LATER: 1, DueGroup.NO_DAY: 3}


def test_what_is_none_of_ours_is_no_order(full_day):
    strange = replace(full_day.held.entries[0], is_ours=False)
    assert "menu" not in map(called, week_of(replace(full_day, held=Listed(entries=(strange,)))))


def test_of_too_many_those_with_a_day_and_the_newest_are_shown_in_their_order(now):
    made = {"old": 9, "new": 1, "newer": 0}
    orders = [finished(name, due=None, made=now - timedelta(days=days)) for name, days in made.items()]
    urgent = finished("urgent", due=now.date(), made=now - timedelta(days=99))
    assert [called(entry) for entry in first_of([urgent, *orders], 3)] == ["urgent", "new", "newer"]
