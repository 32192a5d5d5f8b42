"""Encode and decode the messages of the Internet Printing Protocol, RFC 8010, collections included.

Only the bytes are read here; what they mean is RFC 8011 and stands in `ipp_client` and `printer_says`. An answer comes
from the network, so every length is checked before it is believed, and size, number of values and depth have a limit.
"""

import struct
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from watcher.outbox.printing.ipp_values import Attributes, Data, Range, Resolution, Tag, Value

VERSION = (2, 0)
LARGEST_MESSAGE = 8_000_000  # bytes; a production printer's media-col-database is some hundred thousand
MOST_VALUES = 100_000
DEEPEST_COLLECTION = 8  # media-col > media-source-properties is 2; the standard names no limit
LONGEST_VALUE = 0x7FFF  # RFC 8010 3.1.4: lengths are SIGNED-SHORT

_FIRST_VALUE_TAG = 0x10  # below stand delimiters
_WITHOUT_VALUE = range(0x10, 0x20)  # "out-of-band" tags
_WORDS = range(0x40, 0x60)  # character strings


class BadMessage(ValueError):
    """Bytes that are no message of RFC 8010; the text is half a sentence: `ends in the middle of a value`."""


@dataclass(frozen=True)
class Group:
    """A group of attributes under its delimiter tag."""

    tag: int
    attributes: Attributes


@dataclass(frozen=True, kw_only=True)
class Message:
    """A request or an answer, without the document behind it.

    Attributes:
        code: the operation of a request, the status of an answer.
        request_id: what pairs an answer with its request.
        groups: in their order.
        version: major and minor number of the protocol.
    """

    code: int
    request_id: int
    groups: Sequence[Group] = ()
    version: tuple[int, int] = VERSION

    def group(self, tag: Tag) -> Attributes:
        """The first group of a kind; empty when there is none."""
        return next(iter(self.all_groups(tag)), Attributes())

    def all_groups(self, tag: Tag) -> tuple[Attributes, ...]:
        """Every group of a kind, such as one for each job."""
        return tuple(group.attributes for group in self.groups if group.tag == tag)


# -- writing -----------------------------------------------------------------------------------------------------------


def encode(message: Message) -> bytes:
    """Encode a message; a document may follow its bytes.

    Raises:
        ValueError: a value does not fit its tag or the field for its length.
    """
    parts = [struct.pack(">BBHI", *message.version, message.code, message.request_id)]
    for group in message.groups:
        parts.append(bytes([group.tag]))
        for name, values in group.attributes.values.items():
            parts += _encode_values(name.encode("ascii"), values)
    return b"".join([*parts, bytes([Tag.END])])


def _encode_values(name: bytes, values: Sequence[Value]) -> Iterator[bytes]:
    """One attribute: only its first value has the name (RFC 8010 3.1.5)."""
    for number, value in enumerate(values):
        own_name = b"" if number else name
        if isinstance(value.data, Attributes):
            yield _field(Tag.COLLECTION, own_name, b"")
            for member, inner in value.data.values.items():
                yield _field(Tag.MEMBER_NAME, b"", member.encode("ascii"))
                yield from _encode_values(b"", inner)
            yield _field(Tag.END_COLLECTION, b"", b"")
        else:
            yield _field(value.tag, own_name, _encode_data(value))


def _field(tag: int, name: bytes, data: bytes) -> bytes:
    if max(len(name), len(data)) > LONGEST_VALUE:
        raise ValueError(f"{len(data):,} bytes are too long for one value")
    return struct.pack(">BH", tag, len(name)) + name + struct.pack(">H", len(data)) + data


def _encode_data(value: Value) -> bytes:
    match value.data:
        case None:
            return b""
        case bool():
            return bytes([value.data])
        case int():
            return value.data.to_bytes(4, "big", signed=True)
        case str():
            return value.data.encode("utf-8")
        case bytes():
            return value.data
        case Range():
            return struct.pack(">ii", value.data.lower, value.data.upper)
        case Resolution():
            return struct.pack(">iib", value.data.across, value.data.along, value.data.units)
    raise ValueError(f"tag {value.tag:#x} is written nowhere here")


# -- reading -----------------------------------------------------------------------------------------------------------


def decode(data: bytes) -> Message:
    """Decode a message; what follows its end (a document) is left alone.

    Where a group names an attribute twice, the first holds, as libraries of printing systems read it.

    Raises:
        BadMessage: the bytes are no message, or exceed a limit.
    """
    if len(data) > LARGEST_MESSAGE:
        raise BadMessage(f"is longer than {LARGEST_MESSAGE:,} bytes")
    reader = _Reader(data)
    major, minor, code, request_id = struct.unpack(">BBHI", reader.take(8))
    groups: list[Group] = []
    tag = reader.take(1)[0]
    while tag != Tag.END:
        if tag >= _FIRST_VALUE_TAG:
            raise BadMessage("has a value outside any group")
        attributes, following = _read_group(reader)
        groups.append(Group(tag, attributes))
        tag = following
    return Message(version=(major, minor), code=code, request_id=request_id, groups=tuple(groups))


class _Reader:
    """Bytes with a place in them; nothing is read past the end."""

    def __init__(self, data: bytes) -> None:
        self.data, self.place, self.values = data, 0, 0

    def take(self, length: int) -> bytes:
        part = self.data[self.place : self.place + length]
        if len(part) < length:
            raise BadMessage("ends in the middle of a value")
        self.place += length
        return part

    def counted(self) -> bytes:
        return self.take(int.from_bytes(self.take(2), "big"))

    def count_value(self) -> None:
        self.values += 1
        if self.values > MOST_VALUES:
            raise BadMessage(f"has more than {MOST_VALUES:,} values")


class _Gathered:
    """Attributes as they come: a value without a name goes to the one before; the first of two equal names holds."""

    def __init__(self) -> None:
        self.values: dict[str, list[Value]] = {}
        self.open: list[Value] | None = None

    def begin(self, name: str) -> None:
        self.open = []
        self.values.setdefault(name, self.open)

    def add(self, value: Value) -> None:
        if self.open is None:
            raise BadMessage("has a value without a name")
        self.open.append(value)

    def done(self) -> Attributes:
        return Attributes({name: tuple(values) for name, values in self.values.items()})


def _read_group(reader: _Reader) -> tuple[Attributes, int]:
    """The attributes up to the next delimiter, and that delimiter."""
    gathered = _Gathered()
    while (tag := reader.take(1)[0]) >= _FIRST_VALUE_TAG:
        if name := reader.counted():
            gathered.begin(_text(name))
        gathered.add(_read_value(reader, tag, 0))
    return gathered.done(), tag


def _read_value(reader: _Reader, tag: int, depth: int) -> Value:
    """The value whose tag and name are read already."""
    reader.count_value()
    data = reader.counted()
    if tag == Tag.COLLECTION:
        return Value(tag, _read_collection(reader, depth + 1))
    if tag in (Tag.END_COLLECTION, Tag.MEMBER_NAME):
        raise BadMessage("has a part of a collection outside any collection")
    return Value(tag, _decode_data(tag, data))


def _read_collection(reader: _Reader, depth: int) -> Attributes:
    """The members up to the end of a collection (RFC 8010 3.1.6)."""
    if depth > DEEPEST_COLLECTION:
        raise BadMessage(f"has collections inside each other more than {DEEPEST_COLLECTION} deep")
    gathered = _Gathered()
    while (tag := reader.take(1)[0]) != Tag.END_COLLECTION:
        if tag < _FIRST_VALUE_TAG:
            raise BadMessage("has a collection without an end")
        if reader.counted():
            raise BadMessage("has a named value inside a collection")
        if tag == Tag.MEMBER_NAME:
            reader.count_value()
            gathered.begin(_text(reader.counted()))
        else:
            gathered.add(_read_value(reader, tag, depth))
    reader.counted()  # the name and the value of the end: both empty
    reader.counted()
    return gathered.done()


def _decode_data(tag: int, data: bytes) -> Data:
    if tag in _WITHOUT_VALUE:
        return None
    if tag in _DECODERS:
        length, decoder = _DECODERS[tag]
        if len(data) != length:
            raise BadMessage(f"has a value of {len(data)} bytes where {length} belong")
        return decoder(data)
    if tag in (Tag.TEXT_IN_LANGUAGE, Tag.NAME_IN_LANGUAGE):
        reader = _Reader(data)
        reader.counted()
        return _text(reader.counted())
    return _text(data) if tag in _WORDS else data


def _integer(data: bytes) -> int:
    return int.from_bytes(data, "big", signed=True)


_DECODERS: dict[int, tuple[int, Callable[[bytes], Data]]] = {
    Tag.INTEGER: (4, _integer),
    Tag.ENUM: (4, _integer),
    Tag.BOOLEAN: (1, lambda data: data != b"\0"),
    Tag.RANGE: (8, lambda data: Range(*struct.unpack(">ii", data))),
    Tag.RESOLUTION: (9, lambda data: Resolution(*struct.unpack(">iib", data))),
}


def _text(data: bytes) -> str:
    return data.decode("utf-8", "replace")
