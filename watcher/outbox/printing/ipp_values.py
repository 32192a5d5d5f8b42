"""The values of messages of the Internet Printing Protocol: their tags (RFC 8010 3.5) and how attributes are read."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from typing import TypeAlias, Union


class Tag(IntEnum):
    """Delimiter tags (RFC 8010 3.5.1) and value tags (RFC 8010 3.5.2)."""

    OPERATION_GROUP = 0x01
    JOB_GROUP = 0x02
    END = 0x03
    PRINTER_GROUP = 0x04
    UNSUPPORTED_GROUP = 0x05
    UNSUPPORTED = 0x10
    UNKNOWN = 0x12
    NO_VALUE = 0x13
    INTEGER = 0x21
    BOOLEAN = 0x22
    ENUM = 0x23
    OCTETS = 0x30
    DATE_TIME = 0x31
    RESOLUTION = 0x32
    RANGE = 0x33
    COLLECTION = 0x34
    TEXT_IN_LANGUAGE = 0x35
    NAME_IN_LANGUAGE = 0x36
    END_COLLECTION = 0x37
    TEXT = 0x41
    NAME = 0x42
    KEYWORD = 0x44
    URI = 0x45
    URI_SCHEME = 0x46
    CHARSET = 0x47
    LANGUAGE = 0x48
    MIME_TYPE = 0x49
    MEMBER_NAME = 0x4A


@dataclass(frozen=True)
class Range:
    """A rangeOfInteger, both ends included."""

    lower: int
    upper: int


@dataclass(frozen=True)
class Resolution:
    """Dots across and along the feed, per inch (`units` 3) or per centimetre (`units` 4)."""

    across: int
    along: int
    units: int


Data: TypeAlias = Union[int, bool, str, bytes, None, Range, Resolution, "Attributes"]


@dataclass(frozen=True)
class Value:
    """One value with its tag; `data` is None for the tags that carry none, octets for those that nothing here reads."""

    tag: int
    data: Data


@dataclass(frozen=True)
class Attributes:
    """The attributes of a group or a collection, by name; each has one value or more.

    An attribute that is not there, or has values of another kind, reads as empty: printers differ too much to ask
    for more.
    """

    values: Mapping[str, tuple[Value, ...]] = field(default_factory=dict)

    def __contains__(self, name: object) -> bool:
        return name in self.values

    def numbers(self, name: str) -> tuple[int, ...]:
        """The integers and enums of an attribute."""
        return tuple(v.data for v in self._of(name) if isinstance(v.data, int) and not isinstance(v.data, bool))

    def words(self, name: str) -> tuple[str, ...]:
        """The keywords, names, texts and the like of an attribute."""
        return tuple(v.data for v in self._of(name) if isinstance(v.data, str))

    def collections(self, name: str) -> tuple["Attributes", ...]:
        """The collections of an attribute."""
        return tuple(v.data for v in self._of(name) if isinstance(v.data, Attributes))

    def ranges(self, name: str) -> tuple[Range, ...]:
        """The ranges of an attribute; an integer is a range of one."""
        found = (v.data for v in self._of(name))
        return tuple(
            Range(one, one) if isinstance(one, int) else one
            for one in found
            if isinstance(one, Range) or (isinstance(one, int) and not isinstance(one, bool))
        )

    def number(self, name: str) -> int | None:
        """The first integer or enum of an attribute, or None."""
        return next(iter(self.numbers(name)), None)

    def word(self, name: str) -> str | None:
        """The first keyword, name or text of an attribute, or None."""
        return next(iter(self.words(name)), None)

    def flag(self, name: str) -> bool | None:
        """The first boolean of an attribute, or None."""
        return next((v.data for v in self._of(name) if isinstance(v.data, bool)), None)

    def _of(self, name: str) -> tuple[Value, ...]:
        return self.values.get(name, ())


def numbers(*given: int) -> tuple[Value, ...]:
    """Integers as values."""
    return tuple(Value(Tag.INTEGER, one) for one in given)


def words(tag: Tag, *given: str) -> tuple[Value, ...]:
    """Character strings of one kind as values."""
    return tuple(Value(tag, one) for one in given)
