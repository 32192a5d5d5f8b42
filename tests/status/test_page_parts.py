"""Each part of the status page says what is there, or that nothing is, and no more than helps."""

from dataclasses import replace

import pytest

from watcher.status.model import Listed, ProductFile, ProductKind
from watcher.status.page_parts import (
    MOST_SHOWN,
    finished_part,
    held_part,
    held_title,
    left_alone_part,
    making_part,
    waiting_part,
)
from watcher.terms import HeldFor


@pytest.mark.parametrize("part", [held_part, waiting_part, making_part, finished_part])
def test_an_empty_part_says_so_in_one_sentence(part, now):
    (said,) = part(Listed(), now)
    assert said.startswith('<p class="empty">')


def test_of_very_many_the_first_are_shown_and_the_rest_counted():
    names = tuple(f"file {number}" for number in range(MOST_SHOWN + 20))
    listed, rest = left_alone_part(Listed(entries=names, more=3))
    assert listed.count("<li>") == MOST_SHOWN
    assert rest == '<p class="quiet">and 23 more</p>'


def test_only_where_every_held_order_waits_for_a_yes_the_heading_asks_for_one(full_day):
    (order,) = full_day.held.entries
    asked = replace(order, needs=HeldFor.YES)
    assert held_title(Listed()) == "Held"
    assert held_title(Listed(entries=(asked,))) == "Waits for a yes"
    assert held_title(Listed(entries=(asked, order))) == "Held: needs your answer"
    assert held_title(Listed(entries=(asked,), more=1)) == "Held: needs your answer"


def test_a_held_order_that_was_accepted_is_not_asked_about_again(full_day, now):
    (order,) = full_day.held.entries
    asked, answered = (
        "".join(held_part(Listed(entries=(replace(order, is_accepted=said),)), now)) for said in (False, True)
    )
    assert "Put the mended files into inbox." in asked
    assert "Put the mended files" not in answered
    assert "You have accepted it" in answered


def test_a_name_from_outside_is_escaped_and_the_ticket_is_no_link(full_day, now):
    (order,) = full_day.finished.entries
    files = (*order.files, ProductFile(name="a<b>_ticket.toml", kind=ProductKind.TICKET))
    shown = "".join(finished_part(Listed(entries=(replace(order, folder="a<b>", files=files),)), now))
    assert 'href="a%3Cb%3E/lantern_sheets.pdf"' in shown
    assert "<bdi>a&lt;b&gt;</bdi>" in shown
    assert "_ticket.toml" not in shown
