"""The words that page and terminal share."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from watcher.status import words
from watcher.status.model import Listed, OrderInHand, PaperToPull, Progress
from watcher.terms import HeldFor

NOW = datetime(2026, 11, 25, 14, 5, tzinfo=UTC)


def test_a_day_of_another_year_gives_the_year():
    assert words.say_day(date(2026, 12, 24), NOW.date()) == "Thu 24 Dec"
    assert words.say_day(date(2027, 1, 4), NOW.date()) == "Mon 4 Jan 2027"


def test_an_order_that_waits_for_others_says_when_it_is_made_at_the_latest():
    order = OrderInHand(order="a", card="tag", progress=Progress.SHARING, since=NOW, until=NOW + timedelta(hours=2))
    assert words.say_progress(order, NOW).endswith("; made by Wed 25 Nov, 16:05 at the latest")
    assert words.say_progress(order, NOW + timedelta(days=1)).endswith("made by Thu 26 Nov, 14:05 at the latest")


@pytest.mark.parametrize(
    ("needs", "accepted", "said"),
    [
        (HeldFor.ART, False, "Held since Wed 25 Nov, 14:05; may be printed anyway"),
        (HeldFor.YES, False, "Waits for a yes since Wed 25 Nov, 14:05"),
        (HeldFor.ART, True, "Held since Wed 25 Nov, 14:05; accepted, it is made at the next look"),
    ],
)
def test_a_held_order_says_since_when_and_whether_it_may_be_printed(full_day, needs, accepted, said):
    order = replace(full_day.held.entries[0], needs=needs, is_accepted=accepted)
    assert words.say_held(order, NOW) == said


def test_who_is_needed_is_said_first(full_day, nothing):
    held = replace(full_day, held=Listed(entries=full_day.held.entries))
    assert next(words.say_call(held)) == "1 order is held and needs your answer."
    assert list(words.say_call(nothing)) == ["Nothing waits, and there is nothing to print."]


def test_paper_that_is_not_known_is_told_as_that():
    assert words.say_stock(PaperToPull(sheet="", size="", paper="", sheets=3, orders=1)) == "paper not known"
