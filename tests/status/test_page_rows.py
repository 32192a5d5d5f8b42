"""A row says of an order when it is needed, what it waits for and what there is to do."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from watcher.outbox.printing.standing import PrintStanding, PrintStatus
from watcher.status.html import text
from watcher.status.model import Picture, ProductFile, ProductKind, Progress
from watcher.status.page_rows import row, thumb
from watcher.status.words import say_next_step


@pytest.mark.parametrize(
    ("due", "said"),
    [
        (date(2026, 11, 23), '<p class="due late">2 days late, due Mon 23 Nov</p>'),
        (date(2026, 11, 25), '<p class="due today">due today</p>'),
        (date(2026, 12, 4), '<p class="due">due Fri 4 Dec</p>'),
    ],
)
def test_the_day_is_told_and_marked_where_it_presses(full_day, now, due, said):
    assert said in row(replace(full_day.waiting.entries[0], due=due), now)


def test_a_lone_half_says_what_is_missing_until_when_and_where_its_number_came_from(full_day, now):
    order = replace(full_day.waiting.entries[0], cards="1 card, because no number was given")
    said = row(order, now)
    assert "Waits for its back" in said
    assert "Set aside after" in said
    assert "1 card, because no number was given" in said


def test_a_finished_order_says_how_long_it_has_lain_there(full_day, now):
    order = replace(full_day.finished.entries[0], made=now - timedelta(days=9))
    assert "Print 26 sheets; finished 9 days ago, not printed yet" in row(order, now)


@pytest.mark.parametrize("is_sent_by_name", [True, False])
def test_a_finished_order_says_what_is_done_next(full_day, now, is_sent_by_name):
    order = replace(full_day.finished.entries[0], is_sent_by_name=is_sent_by_name)
    assert f"<p>{text(say_next_step(order))}</p>" in row(order, now)


def test_nothing_is_said_of_a_next_step_where_how_it_stands_says_it(full_day, now):
    stands = PrintStatus(standing=PrintStanding.PRINTING, says="printing", printed=1, sheets=26)
    assert "<p></p>" not in row(replace(full_day.finished.entries[0], printing=stands), now)


def test_a_number_that_nobody_gave_is_told_of_a_finished_order(full_day, now):
    order = full_day.finished.entries[0]
    assert "Nobody said how many" not in row(order, now)
    assert "Nobody said how many" in row(replace(order, quantity_from_card=True), now)


def test_a_held_order_leads_to_its_answer(full_day, now):
    said = row(replace(full_day.held.entries[0], folder="a b"), now)
    assert '<a href="#held-a%20b">' in said
    assert "Held, needs your answer: too few pixels" in said


def test_a_held_order_says_since_when_it_is_held_as_far_as_that_is_known(full_day, now):
    order = full_day.held.entries[0]
    known, unknown = row(order, now), row(replace(order, since=None), now)
    assert "since <time" in known
    assert "since" not in unknown


def test_an_order_that_waits_for_others_says_until_when(full_day, now):
    order = replace(full_day.making.entries[0], progress=Progress.SHARING, until=now + timedelta(hours=2))
    assert "made by Wed 25 Nov, 16:05 at the latest" in row(order, now)


def test_a_name_from_outside_is_escaped_and_the_ticket_is_no_link(full_day, now):
    (order,) = full_day.finished.entries
    files = (*order.files, ProductFile(name="a<b>_ticket.toml", kind=ProductKind.TICKET))
    shown = row(replace(order, folder="a<b>", files=files), now)
    assert 'href="a%3Cb%3E/lantern_sheets.pdf"' in shown
    assert "<bdi>a&lt;b&gt;</bdi>" in shown
    assert "_ticket.toml" not in shown


def test_a_word_behind_the_folders_name_is_told(full_day, now):
    said = row(replace(full_day.finished.entries[0], folder="lantern print 3", order="lantern"), now)
    assert "<h4><bdi>lantern</bdi></h4>" in said
    assert "Its folder is called <bdi>lantern print 3</bdi> now." in said


def test_there_is_no_empty_box_where_there_is_no_picture():
    assert thumb(None) == ""
    assert thumb(Picture(kind="image/jpeg", letters="/9j/", mark="1")).count("<img ") == 1


def test_art_that_waits_is_shown_from_where_it_lies(full_day, now):
    said = row(replace(full_day.waiting.entries[0], art=("..", "inbox", "a b_front.png")), now)
    assert '<img src="../inbox/a%20b_front.png" alt="">' in said


@pytest.mark.parametrize(
    ("standing", "css"),
    [
        (PrintStanding.NOT_PRINTED, "held"),
        (PrintStanding.PERHAPS, "held"),
        (PrintStanding.WAITING, "waits"),
        (PrintStanding.SOME, "print"),
    ],
)
def test_printing_that_wants_somebody_stands_out(full_day, now, standing, css):
    told = PrintStatus(standing=standing, says="not printed: out of paper", printed=0, sheets=3)
    assert f'class="row {css}"' in row(replace(full_day.finished.entries[0], printing=told), now)
