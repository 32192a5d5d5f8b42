"""The words every room shares; a flip has one row of names."""

import pickle

import pytest

from watcher.terms import Flip, Quarter, ReadableBy, Side, Turn


@pytest.mark.parametrize(
    ("flip", "words", "sides", "duplex_name", "dialog_word"),
    [
        (Flip.LONG_EDGE, "long edge", "two-sided-long-edge", "/DuplexFlipLongEdge", "book"),
        (Flip.SHORT_EDGE, "short edge", "two-sided-short-edge", "/DuplexFlipShortEdge", "tablet"),
    ],
)
def test_a_flip_has_its_name_for_people_printers_files_and_drivers(flip, words, sides, duplex_name, dialog_word):
    """Sources: RFC 8011 5.2.8, ISO 32000-1 Table 150."""
    assert (flip.words, flip.sides, flip.duplex_name, flip.dialog_word) == (words, sides, duplex_name, dialog_word)


@pytest.mark.parametrize("flip", Flip)
def test_a_flip_is_the_word_that_stands_in_files(flip):
    assert Flip(str(flip)) is flip
    assert pickle.loads(pickle.dumps(flip)) is flip
    assert flip.other is not flip
    assert flip.other.other is flip


def test_a_word_that_is_no_flip_is_refused():
    with pytest.raises(ValueError, match="two-sided"):
        Flip("two-sided-long-edge")


def test_a_turn_is_taken_round_the_clock():
    assert [Turn.of(degrees) for degrees in (-90, 360, 450)] == [Turn.RIGHT, Turn.NONE, Turn.LEFT]
    assert [turn for turn in Turn if turn.swaps_sides] == [Turn.LEFT, Turn.RIGHT]
    assert [quarter.turn for quarter in (Quarter.LEFT, Quarter.RIGHT)] == [Turn.LEFT, Turn.RIGHT]


@pytest.mark.parametrize("side", Side)
def test_the_other_side_lies_behind(side):
    assert side.other is not side
    assert side.other.other is side


def test_who_may_read_a_file_is_the_umask_that_takes_the_rights_of_the_others():
    """Permission bits: POSIX.1-2017, sys/stat.h; nobody else may ever write."""
    rights = {who: 0o666 & ~who.umask for who in ReadableBy}
    assert rights == {ReadableBy.ME: 0o600, ReadableBy.GROUP: 0o640, ReadableBy.EVERYONE: 0o644}
