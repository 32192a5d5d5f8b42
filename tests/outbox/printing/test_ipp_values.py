"""Attributes are read by kind; what is missing or of another kind is empty, never an error."""

from watcher.outbox.printing.ipp_values import Attributes, Range, Tag, Value, numbers, words

TOLD = Attributes(
    {
        "copies": numbers(3, 4),
        "sides": words(Tag.KEYWORD, "one-sided", "two-sided-long-edge"),
        "held": (Value(Tag.BOOLEAN, True),),
        "sizes": (Value(Tag.RANGE, Range(1, 9)), Value(Tag.INTEGER, 12)),
        "media": (Value(Tag.COLLECTION, Attributes({"inner": numbers(1)})),),
    }
)


def test_each_kind_is_read():
    assert TOLD.numbers("copies") == (3, 4)
    assert TOLD.words("sides") == ("one-sided", "two-sided-long-edge")
    assert TOLD.flag("held") is True
    assert TOLD.collections("media")[0].number("inner") == 1


def test_the_first_value_stands_for_one():
    assert (TOLD.number("copies"), TOLD.word("sides")) == (3, "one-sided")


def test_an_integer_is_a_range_of_one():
    assert TOLD.ranges("sizes") == (Range(1, 9), Range(12, 12))


def test_a_boolean_is_no_number():
    assert (TOLD.numbers("held"), TOLD.ranges("held")) == ((), ())


def test_what_is_missing_or_of_another_kind_is_empty():
    assert (TOLD.number("sides"), TOLD.word("copies"), TOLD.flag("copies")) == (None, None, None)
    assert (TOLD.words("nowhere"), TOLD.collections("nowhere"), TOLD.number("nowhere")) == ((), (), None)
    assert "nowhere" not in TOLD
