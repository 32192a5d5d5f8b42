"""Text from outside never becomes mark-up."""

from datetime import UTC, datetime

from watcher.status.html import bullets, href, named, text, time_tag


def test_signs_of_mark_up_are_escaped_and_lines_stay_one():
    assert text('<b>"a" & b</b>\nc') == "&lt;b&gt;&quot;a&quot; &amp; b&lt;/b&gt;\\nc"


def test_a_name_does_not_reorder_what_stands_around_it():
    assert named("menu") == "<bdi>menu</bdi>"


def test_an_address_holds_no_sign_of_meaning():
    assert href("a:b#1", "100 %?.pdf", "caf\udce9") == "a%3Ab%231/100%20%25%3F.pdf/caf%E9"


def test_a_time_is_told_to_people_and_machines():
    when = datetime(2026, 11, 25, 14, 5, 9, tzinfo=UTC)
    assert time_tag(when, when) == '<time datetime="2026-11-25T14:05:09+00:00">Wed 25 Nov, 14:05</time>'


def test_bullets_are_a_list_of_finished_mark_up():
    assert bullets(["<i>a</i>"], "quiet") == '<ul class="quiet"><li><i>a</i></li></ul>'
