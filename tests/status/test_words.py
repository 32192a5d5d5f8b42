"""The words that page and terminal share."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from watcher.outbox.printing.standing import PrintStanding, PrintStatus
from watcher.status import words
from watcher.status.counts import count
from watcher.status.model import Listed, OrderInHand, PaperToPull, Progress
from watcher.terms import HeldFor

NOW = datetime(2026, 11, 25, 14, 5, tzinfo=UTC)


def stands(standing: PrintStanding) -> PrintStatus:
    return PrintStatus(standing=standing, says="It says why.", printed=1, sheets=26)


def test_an_order_that_waits_for_others_says_when_it_is_made_at_the_latest():
    order = OrderInHand(order="a", card="tag", progress=Progress.SHARING, since=NOW, until=NOW + timedelta(hours=2))
    assert words.say_progress(order, NOW).endswith("; made by Wed 25 Nov, 16:05 at the latest")
    assert words.say_progress(order, NOW + timedelta(days=1)).endswith("made by Thu 26 Nov, 14:05 at the latest")


@pytest.mark.parametrize(
    ("seconds", "said"), [(59, "is being made"), (130, "is being made; it takes long, 2 min so far")]
)
def test_an_order_that_takes_longer_than_a_minute_says_so(seconds, said):
    order = OrderInHand(order="a", card="tag", progress=Progress.MAKING, since=NOW - timedelta(seconds=seconds))
    assert words.say_progress(order, NOW).removesuffix(". Other orders go on beside it") == said


@pytest.mark.parametrize(
    ("otherwise", "said"),
    [
        ({}, "Held, needs your answer, since Wed 25 Nov, 14:05; may be printed anyway"),
        ({"needs": HeldFor.YES}, "Waits for a yes, since Wed 25 Nov, 14:05"),
        ({"is_accepted": True}, "Held, needs your answer, since Wed 25 Nov, 14:05; you said yes, so it is made at"),
        ({"folder": "menu ok?", "held_as": "menu"}, '"menu ok?" is no answer that is understood: "menu ok" would'),
        ({"held_as": "menu", "may_be_accepted": False}, "changes nothing: what is in it must be mended first"),
    ],
)
def test_a_held_order_says_since_when_and_what_a_rename_did(full_day, otherwise, said):
    assert said in words.say_held(replace(full_day.held.entries[0], **otherwise), NOW)


def test_who_is_needed_is_said_first(full_day, nothing):
    late = replace(full_day.held.entries[0], due=date(2026, 11, 24))
    seen = replace(full_day, held=Listed(entries=(late,)))
    first, second, *_ = words.say_call(count(seen, NOW.date()))
    assert (first, second) == ("1 order is late.", "1 order is held and needs your answer.")
    assert list(words.say_call(count(nothing, NOW.date()))) == ["Nothing waits, and there is nothing to print."]


def test_what_goes_on_by_itself_is_left_out_where_there_are_tiles(full_day):
    counts = count(replace(full_day, held=Listed(), finished=Listed(), paper=()), NOW.date())
    assert list(words.say_call(counts, brief=True)) == ["Nothing needs you now."]
    assert list(words.say_call(counts)) == ["1 order waits in the inbox.", "1 order is being made."]


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (0, "finished today, 14:05"),
        (1, "finished yesterday, not printed yet"),
        (9, "finished 9 days ago, not printed yet"),
    ],
)
def test_how_long_a_finished_order_has_lain_there(full_day, days, said):
    assert words.say_age(replace(full_day.finished.entries[0], made=NOW - timedelta(days=days)), NOW) == said


def test_an_order_whose_printing_is_told_is_not_called_unprinted(full_day):
    some = PrintStatus(standing=PrintStanding.SOME, says="printed 1 of 3", printed=1, sheets=3)
    order = replace(full_day.finished.entries[0], made=NOW - timedelta(days=9), printing=some)
    assert words.say_age(order, NOW) == "made 9 days ago"


def test_what_an_order_is_held_for_is_told_in_a_few_words(full_day):
    assert words.say_trouble_of(full_day.held.entries[0]) == "too few pixels"


def test_paper_that_is_not_known_is_told_as_that():
    assert words.say_stock(PaperToPull(sheet="", size="", paper="", sheets=3, orders=1)) == "paper not known"


@pytest.mark.parametrize(
    ("otherwise", "said"),
    [
        ({}, 'When all of it is printed, rename its folder to "lantern printed".'),
        ({"is_sent_by_name": True}, '"lantern print 1" to have one sheet printed. When that is right, "lantern print"'),
        ({"is_sent_by_name": True, "printing": stands(PrintStanding.SOME)}, '"lantern print" to have the rest printed'),
        ({"order": "lantern", "folder": "lantern yes", "printing": None}, 'to "lantern printed"'),
    ],
)
def test_what_to_do_next_with_finished_sheets_is_said_by_the_name_to_give(full_day, otherwise, said):
    assert said in words.say_next_step(replace(full_day.finished.entries[0], **otherwise))


@pytest.mark.parametrize("standing", [standing for standing in PrintStanding if standing is not PrintStanding.SOME])
def test_where_the_printing_says_itself_what_to_do_nothing_is_said_twice(full_day, standing):
    order = replace(full_day.finished.entries[0], printing=stands(standing), is_sent_by_name=True)
    assert words.say_next_step(order) == ""


def test_a_sentence_that_ends_goes_on_with_one_mark_alone(full_day):
    order = replace(full_day.finished.entries[0], printing=stands(PrintStanding.NOT_PRINTED))
    assert ".;" not in words.say_stage(order, NOW)
