"""Each part of the status page says what is there, and no more than helps."""

from dataclasses import replace

from watcher.status.model import Listed, Picture
from watcher.status.page_parts import (
    MOST_PRINTED,
    MOST_SHOWN,
    again_part,
    held_part,
    held_title,
    left_alone_part,
    paper_part,
    printed_part,
    section,
    week_part,
)
from watcher.status.page_rows import MOST_PICTURED
from watcher.terms import HeldFor

PICTURE = Picture(kind="image/jpeg", letters="/9j/", mark="1")


def test_a_part_with_nothing_in_it_is_not_there(nothing, now):
    parts = (week_part(nothing, now), held_part(Listed(), now), paper_part(()), printed_part(Listed(), now))
    assert [section("x", "X", part) for part in (*parts, left_alone_part(Listed()))] == [""] * 5


def test_of_very_many_the_first_are_shown_and_the_rest_counted():
    names = tuple(f"file {number}" for number in range(MOST_SHOWN + 20))
    listed, rest = left_alone_part(Listed(entries=names, more=3))
    assert listed.count("<li>") == MOST_SHOWN
    assert rest == '<p class="quiet">and 23 more</p>'


def test_the_week_shows_every_order_under_its_day(full_day, now):
    text = "".join(week_part(full_day, now))
    later, none = (text.index(f"<h3>{group}</h3>") for group in ("Later", "No day was given"))
    assert later < text.index("<bdi>lantern</bdi>") < none
    assert all(none < text.index(f"<h4><bdi>{name}</bdi>") for name in ("menu", "market", "tide"))
    assert "and 4 more" in text


def test_a_thousand_orders_make_a_page_of_bounded_size(full_day, now):
    order = replace(full_day.finished.entries[0], front=PICTURE)
    text = "".join(week_part(replace(full_day, finished=Listed(entries=(order,) * 1000)), now))
    assert text.count("<img ") == MOST_PICTURED
    assert text.count("<article ") == MOST_SHOWN


def test_only_where_every_held_order_waits_for_a_yes_the_heading_asks_for_one(full_day):
    (order,) = full_day.held.entries
    asked, strange = replace(order, needs=HeldFor.YES), replace(order, is_ours=False)
    assert held_title(Listed(entries=(asked, strange))) == "Waits for a yes"
    assert held_title(Listed(entries=(asked, order))) == "Needs your answer"
    assert held_title(Listed(entries=(strange,))) == "Not understood in held"


def test_a_held_order_that_was_accepted_is_not_asked_about_again(full_day, now):
    (order,) = full_day.held.entries
    asked, answered = (
        "".join(held_part(Listed(entries=(replace(order, is_accepted=said),)), now)) for said in (False, True)
    )
    assert "Put the mended files into inbox." in asked
    assert "Put the mended files" not in answered
    assert "You said yes" in answered


def test_a_held_order_shows_its_art_in_the_page_or_leads_to_it(full_day, now):
    (order,) = full_day.held.entries
    there = replace(order, pictures=("menu_why.png",), address=("..", "held", "menu"))
    inside, beside = (
        "".join(held_part(Listed(entries=(replace(there, spots=spots),)), now)) for spots in (PICTURE, None)
    )
    assert '<img src="data:image/jpeg;base64,/9j/"' in inside
    assert 'href="../held/menu/menu_why.png"' in beside


def test_a_name_that_is_no_answer_is_told_with_the_one_that_would_be(full_day, now):
    (order,) = full_day.held.entries
    text = "".join(held_part(Listed(entries=(replace(order, folder="menu not ok", held_as="menu"),)), now))
    assert "It still waits" in text
    assert "&quot;menu ok&quot; would be a yes" in text


def test_a_folder_that_is_none_of_ours_is_named_and_asks_for_no_answer(full_day, now):
    strange = replace(full_day.held.entries[0], folder="photos", is_ours=False, ways_out=("Put it into the inbox.",))
    text = "".join(held_part(Listed(entries=(strange,)), now))
    assert "<bdi>photos</bdi>" in text
    assert "What you can do" not in text


def test_what_is_printed_is_listed_shortly(full_day, now):
    order = replace(full_day.finished.entries[0], folder="lantern printed", order="lantern")
    *shown, rest = printed_part(Listed(entries=(order,) * (MOST_PRINTED + 2)), now)
    assert "".join(shown).count("<h3><bdi>lantern</bdi></h3>") == MOST_PRINTED
    assert "and 2 more" in rest


def test_a_card_that_waits_for_a_yes_is_shown_beside_the_way_to_its_picture(full_day, now):
    order = replace(full_day.held.entries[0], spots=None, front=PICTURE, needs=HeldFor.YES, folder="menu")
    order = replace(order, pictures=("m_card.png",), address=("..",))
    text = "".join(held_part(Listed(entries=(order,)), now))
    assert 'alt="The art of menu"' in text
    assert "m_card.png</a>" in text


def test_the_page_says_how_an_order_is_made_again(full_day, nothing):
    text = "\n".join(again_part(full_day))
    assert "<bdi>again lamp x40 due Thursday</bdi>" in text
    assert not [*again_part(nothing)]
