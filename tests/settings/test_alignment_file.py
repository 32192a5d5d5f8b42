"""The bytes of alignment.toml: written and read the same, and never more than is written by this program."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import Correction, Terms
from watcher.settings.alignment_file import Alignment, Alignments, TurnTest, dump, parse
from watcher.terms import Duplex, Flip

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
MEASURED = Alignment(
    printer="laser",
    sheet="letter",
    made_at=NOON,
    correction=Correction(shift=Point(Fraction("0.8"), Fraction("-0.5")), turn_degrees=0.1, scale_x=1.001),
    terms=Terms.ALL,
    marks=6,
    sheets=3,
    read_by="from scans",
    residual_mm=0.02,
    residual_mark=4,
    scatter_mm=0.1,
    scatter_worst_mm=0.2,
    size=Size(Fraction("215.9"), Fraction("279.4")),
    flip=Flip.LONG_EDGE,
    duplex=Duplex.MANUAL,
)
TEST = TurnTest(printer="laser", made_at=NOON, found={"flip": "long-edge", "lead": "top"})


@pytest.mark.parametrize("alignment", [MEASURED, replace(MEASURED, scatter_mm=None, scatter_worst_mm=None)])
def test_what_is_written_is_read_again(alignment):
    whole = Alignments(alignments=(alignment,), turn_tests=(TEST,))
    assert parse(dump(whole)) == whole


def test_a_dropped_correction_says_no_more_than_that():
    text = dump(Alignments(alignments=(replace(MEASURED, correction=None),)))
    assert b"forgotten = true" in text
    assert b"shift_mm" not in text
    assert parse(text).current("laser", "letter") is None


def test_names_are_the_same_whatever_their_case():
    both = Alignments(alignments=(MEASURED, replace(MEASURED, printer="LASER", marks=5)))
    assert both.current("Laser", "Letter").marks == 5
    assert len(both.history("laser", "letter")) == 2


def test_the_oldest_of_much_history_is_left_out():
    many = tuple(replace(MEASURED, made_at=NOON + timedelta(days=day)) for day in range(60))
    left = parse(dump(Alignments(alignments=many))).alignments
    assert (len(left), left[-1].made_at) == (50, many[-1].made_at)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"0.8", b"inf"),
        (b"0.8", b"true"),
        (b'flip = "long-edge"\nduplex', b'flip = "round"\nduplex'),
        (b"12:00:00Z", b"12:00:00"),
        (b"[[alignments]]", b"[[others]]"),
        (b'printer = "laser"', b"printer = 5"),
    ],
)
def test_what_this_program_never_writes_is_no_such_file(old, new):
    text = dump(Alignments(alignments=(MEASURED,))).replace(b"+00:00", b"Z")
    assert old in text
    with pytest.raises((ValueError, TypeError, KeyError, AttributeError, ArithmeticError)):
        parse(text.replace(old, new))


def test_a_file_that_is_too_large_is_not_parsed():
    with pytest.raises(ValueError, match="too large"):
        parse(b"#" * 1_000_001)


def test_a_name_of_thousands_of_dots_is_not_waited_for():
    with pytest.raises(ValueError, match="dots"):
        parse(b"a" + b".a" * 100_000 + b" = 1")
