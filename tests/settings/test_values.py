"""Text to exact values, and what is refused."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.layout.geometry import Size
from watcher.settings.amounts import parse_overs
from watcher.settings.faults import WrittenNumber
from watcher.settings.values import (
    is_in_inches,
    length_meant,
    parse_duration,
    parse_ink,
    parse_length,
    parse_price,
    parse_shift,
    parse_size,
    show_exact,
)

MM = Fraction("25.4")  # mm in an inch, exactly (international inch, 1959)
FIVE_BY_SEVEN = Size(Fraction(127), Fraction("177.8"))


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("3 mm", Fraction(3)),
        ("3mm", Fraction(3)),
        ("0 mm", Fraction(0)),
        ("3.175 mm", Fraction("3.175")),
        (".5 in", MM / 2),
        ("0.125 in", MM / 8),
        ("1/8 in", MM / 8),
        ("8 1/2 in", MM * 17 / 2),
        ("1 inch", MM),
        ('1"', MM),
        ("9 pt", MM / 8),
        ("1.5 cm", Fraction(15)),
        ("  3   MM  ", Fraction(3)),
        ("3\u00a0mm", Fraction(3)),
        ("5000 mm", Fraction(5000)),
    ],
)
def test_length_is_exact(text, mm):
    assert parse_length(text) == mm


@pytest.mark.parametrize(
    "text", ["3", 3, 3.0, True, None, [], "", "mm", "three mm", "nan mm", "inf mm", "1e3 mm", "3 px", "3 m", "1/0 in"]
)
def test_length_without_number_or_unit_is_refused(text):
    with pytest.raises(ValueError, match=r"^write a number with a unit \(mm, cm, in or pt\)"):
        parse_length(text)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("-2 mm", "use 0 or more"),
        ("5000.001 mm", "use 5000 mm or less"),
        ("200 in", "use 5000 mm or less"),
        ("3,175 mm", 'write a point, not a comma.*: "3.175" or "3175"'),
        ("3 mm 4 mm", "write a number with a unit"),
        ("٣ mm", "write a number with a unit"),
        ("9" * 100 + " mm", "write a number with a unit"),
    ],
)
def test_impossible_length_says_what_is_right(text, says):
    with pytest.raises(ValueError, match=says):
        parse_length(text)


def test_shift_may_be_negative():
    assert parse_shift("-0.3 mm") == Fraction("-0.3")
    assert parse_shift("+1/4 in") == MM / 4


@given(st.decimals(min_value=0, max_value=5000, places=4))
def test_every_decimal_length_comes_back_exactly(number):
    assert parse_length(f"{number:f} mm") == Fraction(number)


@given(st.integers(0, 130), st.integers(0, 63), st.integers(1, 64))
def test_every_inch_fraction_comes_back_exactly(whole, part, of):
    assert parse_length(f"{whole} {part}/{of} in") == (whole + Fraction(part, of)) * MM


@pytest.mark.parametrize(
    "text",
    [
        "5 x 7 in",
        "5x7in",
        "5in x 7in",
        "5 in x 7 in",
        "5 X 7 IN",
        "5 × 7 in",
        "127 x 177.8 mm",
        "12.7 x 17.78 cm",
        "5 in x 177.8 mm",
        "360 x 504 pt",
        '5 x 7"',
        "4 4/4 x 7 in",
        "A7 note card",
        "a7 NOTE-card portrait",
        "na_5x7_5x7in",
    ],
)
def test_size_in_many_ways_of_writing(text):
    assert parse_size(text) == FIVE_BY_SEVEN


def test_width_comes_first():
    assert parse_size("7 x 5 in") == Size(FIVE_BY_SEVEN.height, FIVE_BY_SEVEN.width)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("A4", Size(Fraction(210), Fraction(297))),
        ("iso a4", Size(Fraction(210), Fraction(297))),
        ("A4 landscape", Size(Fraction(297), Fraction(210))),
        ("Letter Landscape", Size(11 * MM, 17 * MM / 2)),
        ("us business card", Size(7 * MM / 2, 2 * MM)),
        ("US business card portrait", Size(2 * MM, 7 * MM / 2)),
        ("13 x 19", Size(13 * MM, 19 * MM)),
        ("13x19", Size(13 * MM, 19 * MM)),
        ("13 × 19 landscape", Size(19 * MM, 13 * MM)),
    ],
)
def test_standard_names(text, size):
    assert parse_size(text) == size


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("5 x 7", 'a unit is missing; did you mean "5 x 7 in" or "5 x 7 cm"'),
        ("127 x 178", 'a unit is missing; did you mean "127 x 178 mm"'),
        ("5 x 7 x 9", "write width x height with a unit"),
        ("5 in x 7", "a unit is missing"),
        ("5 x 7 x 9 in", "write width x height with a unit"),
        ("5 in", "write width x height with a unit"),
        (5, "write width x height with a unit"),
        ("", "no paper has this name"),
        ("0 x 7 in", "use more than 0"),
        ("5 x -7 in", "use 0 or more"),
        ("5 x 7000 mm", "use 5000 mm or less"),
        ("127 x 1,778 mm", "write a point, not a comma"),
        ("5 x 7 px", "write a number with a unit"),
        ("lettre", 'use "letter" or '),
        ("SRA-3", 'use "SRA3"'),
    ],
)
def test_impossible_size_says_what_is_right(text, says):
    with pytest.raises(ValueError, match=says):
        parse_size(text)


@given(*[st.decimals(min_value="0.001", max_value=5000, places=3)] * 2)
def test_every_size_comes_back_exactly(width, height):
    assert parse_size(f"{width:f} x {height:f} mm") == Size(Fraction(width), Fraction(height))


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("letter", True),
        ("8.5 x 11 in", True),
        ("215.9 x 279.4 mm", True),
        ("279.4 x 215.9 mm", True),
        ("100 mm x 4 in", True),
        ("13 x 19", True),
        ("A4", False),
        ("SRA3 landscape", False),
        ("210 x 297 mm", False),
        ("100 x 100 pt", False),
    ],
)
def test_which_sizes_belong_to_the_inch_world(text, inches):
    assert is_in_inches(text) is inches


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("0 s", 0),
        ("0.5 s", 0.5),
        ("2 s", 2),
        ("2 seconds", 2),
        ("15 min", 900),
        ("1.5 h", 5400),
        ("1 day", 86_400),
        ("30 days", 2_592_000),
        ("2 years", 2 * 365 * 86_400),
        ("3H", 10_800),
    ],
)
def test_duration_in_seconds(text, seconds):
    assert parse_duration(text) == seconds


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (5, "write a number with a unit"),
        (True, "write a number with a unit"),
        ("5", "write a number with a unit"),
        ("5 mm", "write a number with a unit"),
        ("nan s", "write a number with a unit"),
        ("-1 s", "use 0 or more"),
        ("101 years", "use 100 years or less"),
    ],
)
def test_impossible_duration_says_what_is_right(value, says):
    with pytest.raises(ValueError, match=says):
        parse_duration(value)


@given(st.integers(0, 10**6), st.sampled_from([("s", 1), ("min", 60), ("h", 3600), ("days", 86_400)]))
def test_every_duration_is_its_number_of_seconds(number, unit):
    name, seconds = unit
    if number * seconds <= 100 * 365 * 86_400:
        assert parse_duration(f"{number} {name}") == number * seconds


@given(st.fractions(min_value=0, max_value=10**6, max_denominator=10**4))
def test_exact_text_is_exact(number):
    assert Fraction(show_exact(number)) == number


@pytest.mark.parametrize(("text", "percent"), [("300 %", 300), ("240%", 240), ("332.5 percent", Fraction("332.5"))])
def test_ink_is_a_share_of_all_four_colours(text, percent):
    assert parse_ink(text) == percent


@pytest.mark.parametrize("value", ["99 %", "401 %", "300", 300, "3 mm", None, "ink"])
def test_other_amounts_of_ink_are_refused(value):
    with pytest.raises(ValueError, match='from "100 %" to "400 %"'):
        parse_ink(value)


@pytest.mark.parametrize(("comma", "point"), [("2,5 mm", "2.5 mm"), ("0,125 in", "0.125 in"), (",5 cm", ".5 cm")])
def test_a_comma_before_the_decimals_is_a_point_where_it_can_be_nothing_else(comma, point):
    assert parse_length(comma) == parse_length(point)


def test_a_comma_is_read_in_sizes_shares_and_times_too():
    assert parse_size("8,5 x 5,5 in") == parse_size("8.5 x 5.5 in")
    assert parse_size("127 x 177,8 mm") == parse_size("127 x 177.8 mm")
    assert parse_overs("2,5 %") == parse_overs("2.5 %")
    assert parse_duration("1,5 h") == 5400


@pytest.mark.parametrize(
    ("written", "meant"),
    [("0.125 mm", "0.125 in"), ("3 in", "3 mm"), ("3 mm", None), ("0 mm", None), ("12.7 mm", None), ("0.25 in", None)],
)
def test_a_small_length_in_a_unit_that_makes_no_sense_is_seen(written, meant):
    assert length_meant(parse_length(written)) == meant


@pytest.mark.parametrize(
    ("written", "price"),
    [
        (WrittenNumber("0.12"), "0.12"),
        (WrittenNumber("0.1000000000000000055"), "0.1000000000000000055"),
        (3, "3"),
        ("0.035", "0.035"),
    ],
)
def test_a_price_is_the_decimal_that_is_written(written, price):
    """0.12 is no binary fraction; as a float it would be 0.11999999999999999556 (IEEE 754)."""
    assert parse_price(written) == Decimal(price)


@pytest.mark.parametrize("written", ["", "a lot", "nan", WrittenNumber("inf"), -1, True, 2_000_000, None, 0.5])
def test_what_is_no_price_is_refused(written):
    with pytest.raises(ValueError, match="price|use 0 to"):
        parse_price(written)
