"""Readings as people type them."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.align.register.readings import parse_pair, parse_readings
from watcher.errors import WrongUsage


@pytest.mark.parametrize(
    "text",
    ["+0.8 -0.5", "0.8,-0.5", "+.8, -.5", "0.8 mm, -0.5 mm", "0.80;-0.50", " 0.8   -0.5 ", "+0.8 \N{MINUS SIGN}0.5"],
)
def test_two_numbers_are_right_and_up(text):
    assert parse_pair(text) == (Fraction("0.8"), Fraction("-0.5"))


@pytest.mark.parametrize("text", ["0,8 -0,5", "+0,8,-0,5", "0,8; -0,5", "0,80 mm -0,50 mm", "0,8 -0.5", "0.8 -0,5"])
def test_a_comma_before_the_decimals_is_read_where_it_can_be_nothing_else(text):
    assert parse_pair(text) == (Fraction("0.8"), Fraction("-0.5"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("0.8", "is no reading"),
        ("0.8 0.5 0.1", "is no reading"),
        ("a b", "is no reading"),
        ("", "is no reading"),
        ("1,0,5", "is no reading"),
        ("11 0", "more than 10 mm"),
        ("1e3 0", "is no reading"),
        ("0.8 in 0.5 in", "is no reading"),
    ],
)
def test_anything_else_is_refused_in_one_line(text, words):
    with pytest.raises(WrongUsage, match=words) as refused:
        parse_pair(text)
    assert "\n" not in str(refused.value)


@given(st.text(max_size=30))
def test_any_text_is_a_pair_or_refused(text):
    try:
        right, up = parse_pair(text)
    except WrongUsage:
        return
    assert max(abs(right), abs(up)) <= 10


def test_readings_are_at_the_back_of_their_marks(target):
    (read,) = parse_readings(["2:+0.8,-0.5"], target("letter"))[0]
    assert (read.mark, read.place) == (2, target("letter").mark(2).back)
    assert (read.right, read.up) == (Fraction("0.8"), Fraction("-0.5"))


def test_a_mark_that_comes_again_is_of_the_next_sheet(target):
    sheets = parse_readings(["1:0.1,0", "2:0.2,0", "1:0.3,0", "2:0.4,0", "1:0.5,0"], target("letter"))
    assert [[(one.mark, float(one.right)) for one in sheet] for sheet in sheets] == [
        [(1, 0.1), (2, 0.2)],
        [(1, 0.3), (2, 0.4)],
        [(1, 0.5)],
    ]


def test_a_sheet_can_be_named(target):
    sheets = parse_readings(["2/1:0.3,0", "1/1:0.1,0"], target("letter"))
    assert [float(sheet[0].right) for sheet in sheets] == [0.1, 0.3]


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        (["0.8,0.5"], "write the mark"),
        (["9:0.8,0.5"], "no mark 9"),
        (["1/1:0,0", "1/1:0,0"], "given twice"),
        (["0/1:0,0"], "names sheet 0"),
        (["99/1:0,0"], "names sheet 99"),
    ],
)
def test_what_cannot_be_is_refused(target, texts, words):
    with pytest.raises(WrongUsage, match=words):
        parse_readings(texts, target("letter"))
