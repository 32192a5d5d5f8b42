"""Timestamps of ours and dates on disk as local times."""

from datetime import UTC, date, datetime

import pytest

from watcher.records.timestamps import (
    local_now,
    moment_of_ns,
    parse_timestamp,
    say_day,
    say_stamp,
    say_stamp_day,
)


@pytest.mark.parametrize("said", ["2026-11-25T14:05:00+00:00", datetime(2026, 11, 25, 14, 5, tzinfo=UTC)])
def test_a_timestamp_is_parsed_into_local_time(said):
    found = parse_timestamp(said)
    assert found == datetime(2026, 11, 25, 14, 5, tzinfo=UTC)
    assert found.tzinfo is not None


@pytest.mark.parametrize("said", ["", "yesterday", 5, None, "0001-01-01T00:00:00+23:00", ["2026-11-25"]])
def test_what_is_no_timestamp_is_none(said):
    assert parse_timestamp(said) is None


def test_a_date_on_disk_is_a_local_time():
    assert moment_of_ns(1_700_000_000_000_000_000) == datetime(2023, 11, 14, 22, 13, 20, tzinfo=UTC)


@pytest.mark.parametrize("nanoseconds", [2**90, -(2**90)])
def test_a_date_out_of_range_is_none(nanoseconds):
    assert moment_of_ns(nanoseconds) is None


def test_now_has_its_offset():
    assert local_now().utcoffset() is not None


def test_a_day_of_another_year_gives_the_year():
    assert say_day(date(2026, 12, 24), date(2026, 11, 25)) == "Thu 24 Dec"
    assert say_day(date(2027, 1, 4), date(2026, 11, 25)) == "Mon 4 Jan 2027"


@pytest.mark.parametrize(
    ("stamp", "said", "day"),
    [
        ("2026-05-01T10:11:12+02:00", "Fri 1 May 2026, 10:11", "Fri 1 May 2026"),
        ("no time", "no time", "no time"),
    ],
)
def test_a_timestamp_is_told_in_the_time_of_the_shop_that_wrote_it(stamp, said, day):
    assert (say_stamp(stamp), say_stamp_day(stamp)) == (said, day)
