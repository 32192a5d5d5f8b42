"""The codec against the worked encodings of the standards, and against bytes that nobody should believe."""

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.outbox.printing import ipp_message
from watcher.outbox.printing.ipp_message import BadMessage, Group, Message, decode, encode
from watcher.outbox.printing.ipp_values import Attributes, Range, Resolution, Tag, Value, numbers, words

# RFC 2565 9.7 (the same stands in RFC 2910 9.7 and RFC 8010 A.7 with newer versions): Get-Jobs for three attributes.
GET_JOBS = (
    bytes.fromhex("0100 000A 00000123 01")
    + bytes.fromhex("47 0012") + b"attributes-charset" + bytes.fromhex("0008") + b"us-ascii"
    + bytes.fromhex("48 001B") + b"attributes-natural-language" + bytes.fromhex("0005") + b"en-us"
    + bytes.fromhex("45 000B") + b"printer-uri" + bytes.fromhex("001A") + b"http://forest:631/pinetree"
    + bytes.fromhex("21 0005") + b"limit" + bytes.fromhex("0004 00000032")
    + bytes.fromhex("44 0014") + b"requested-attributes" + bytes.fromhex("0006") + b"job-id"
    + bytes.fromhex("44 0000 0008") + b"job-name"
    + bytes.fromhex("44 0000 000F") + b"document-format"
    + bytes.fromhex("03")
)  # fmt: skip
GET_JOBS_READ = Message(
    version=(1, 0),
    code=0x000A,
    request_id=0x123,
    groups=(
        Group(
            Tag.OPERATION_GROUP,
            Attributes(
                {
                    "attributes-charset": words(Tag.CHARSET, "us-ascii"),
                    "attributes-natural-language": words(Tag.LANGUAGE, "en-us"),
                    "printer-uri": words(Tag.URI, "http://forest:631/pinetree"),
                    "limit": numbers(50),
                    "requested-attributes": words(Tag.KEYWORD, "job-id", "job-name", "document-format"),
                }
            ),
        ),
    ),
)
# RFC 3382 7.2 table 5 with erratum 3019 (now RFC 8010 3.1.6): a media-col of a colour and a size of 6 x 4.
MEDIA_COL = (
    bytes.fromhex("34 0009") + b"media-col" + bytes.fromhex("0000")
    + bytes.fromhex("4A 0000 000B") + b"media-color" + bytes.fromhex("44 0000 0004") + b"blue"
    + bytes.fromhex("4A 0000 000A") + b"media-size" + bytes.fromhex("34 0000 0000")
    + bytes.fromhex("4A 0000 000B") + b"x-dimension" + bytes.fromhex("21 0000 0004 00000006")
    + bytes.fromhex("4A 0000 000B") + b"y-dimension" + bytes.fromhex("21 0000 0004 00000004")
    + bytes.fromhex("37 0000 0000") + bytes.fromhex("37 0000 0000")
)  # fmt: skip
SIX_BY_FOUR = Attributes({"x-dimension": numbers(6), "y-dimension": numbers(4)})
MEDIA_COL_READ = Attributes(
    {"media-color": words(Tag.KEYWORD, "blue"), "media-size": (Value(Tag.COLLECTION, SIX_BY_FOUR),)}
)
HEAD, END = bytes.fromhex("0200 0000 00000001"), b"\x03"


def one_group(*attributes: bytes) -> bytes:
    return HEAD + b"\x04" + b"".join(attributes) + END


def attribute(tag: int, name: bytes, value: bytes) -> bytes:
    return struct.pack(">BH", tag, len(name)) + name + struct.pack(">H", len(value)) + value


def read(*attributes: bytes) -> Attributes:
    return decode(one_group(*attributes)).group(Tag.PRINTER_GROUP)


def test_the_worked_request_of_the_standard_is_written():
    assert encode(GET_JOBS_READ) == GET_JOBS


def test_the_worked_request_of_the_standard_is_read():
    assert decode(GET_JOBS) == GET_JOBS_READ


def test_the_worked_collection_of_the_standard_is_written():
    group = Group(Tag.PRINTER_GROUP, Attributes({"media-col": (Value(Tag.COLLECTION, MEDIA_COL_READ),)}))

    assert encode(Message(code=0, request_id=1, groups=[group])) == one_group(MEDIA_COL)


def test_the_worked_collection_of_the_standard_is_read():
    assert read(MEDIA_COL).collections("media-col") == (MEDIA_COL_READ,)


def test_several_collections_are_one_attribute():
    """RFC 3382 appendix B: only the first has the name."""
    second = MEDIA_COL.replace(bytes.fromhex("0009") + b"media-col" + bytes(2), bytes(4), 1)

    assert read(MEDIA_COL, second).collections("media-col") == (MEDIA_COL_READ, MEDIA_COL_READ)


def test_a_member_may_have_several_values():
    """RFC 3382 appendix C: they follow without a name."""
    inner = Attributes({"kinds": words(Tag.KEYWORD, "a", "b"), "after": numbers(1)})
    group = Group(Tag.PRINTER_GROUP, Attributes({"c": (Value(Tag.COLLECTION, inner),)}))

    assert decode(encode(Message(code=0, request_id=1, groups=[group]))).groups == (group,)


@pytest.mark.parametrize(
    ("tag", "value", "data"),
    [
        (Tag.BOOLEAN, b"\1", True),
        (Tag.INTEGER, b"\xff\xff\xff\xfe", -2),
        (Tag.ENUM, b"\0\0\0\5", 5),
        (Tag.RANGE, bytes.fromhex("00000001 000003E7"), Range(1, 999)),
        (Tag.RESOLUTION, bytes.fromhex("00000258 0000012C 03"), Resolution(600, 300, 3)),
        (Tag.TEXT_IN_LANGUAGE, bytes.fromhex("0002") + b"de" + bytes.fromhex("0005") + b"voll!", "voll!"),
        (Tag.NAME, "Gerät".encode(), "Gerät"),
        (Tag.NO_VALUE, b"", None),
        (Tag.OCTETS, b"\xff\0", b"\xff\0"),
        (Tag.DATE_TIME, bytes(11), bytes(11)),
        (0x7F, b"of a later time", b"of a later time"),
    ],
)
def test_each_kind_of_value_is_read(tag, value, data):
    """RFC 8010 3.9 table 7."""
    assert read(attribute(tag, b"it", value)).values["it"] == (Value(tag, data),)


def test_an_attribute_named_twice_has_its_first_value():
    assert read(attribute(Tag.INTEGER, b"n", bytes(4)), attribute(Tag.INTEGER, b"n", b"\0\0\0\1")).numbers("n") == (0,)


def test_what_follows_the_second_name_goes_with_it():
    twice = [attribute(Tag.KEYWORD, b"k", word) for word in (b"a", b"b")]

    assert read(*twice, attribute(Tag.KEYWORD, b"", b"c")).words("k") == ("a",)


def test_a_document_behind_the_message_is_left_alone():
    assert decode(GET_JOBS + b"%PDF-1.7").code == 0x000A


@pytest.mark.parametrize("end", range(len(one_group(MEDIA_COL))))
def test_a_message_cut_off_anywhere_is_refused(end):
    with pytest.raises(BadMessage):
        decode(one_group(MEDIA_COL)[:end])


@pytest.mark.parametrize(
    ("attributes", "why"),
    [
        ([attribute(Tag.INTEGER, b"", bytes(4))], "without a name"),
        ([attribute(Tag.INTEGER, b"n", bytes(3))], "3 bytes where 4 belong"),
        ([attribute(Tag.END_COLLECTION, b"n", b"")], "outside any collection"),
        ([attribute(Tag.MEMBER_NAME, b"n", b"m")], "outside any collection"),
        ([attribute(Tag.COLLECTION, b"c", b""), attribute(Tag.INTEGER, b"", bytes(4))], "without a name"),
        ([attribute(Tag.COLLECTION, b"c", b""), attribute(Tag.INTEGER, b"n", bytes(4))], "named value inside"),
        ([attribute(Tag.COLLECTION, b"c", b"")], "without an end"),
        ([attribute(Tag.TEXT_IN_LANGUAGE, b"t", b"\xff\xff")], "in the middle"),
    ],
)
def test_what_breaks_the_grammar_is_refused_with_its_fault(attributes, why):
    with pytest.raises(BadMessage, match=why):
        read(*attributes)


def test_a_value_outside_any_group_is_refused():
    with pytest.raises(BadMessage, match="outside any group"):
        decode(HEAD + attribute(Tag.INTEGER, b"n", bytes(4)) + END)


def test_collections_inside_each_other_without_end_are_refused():
    deeper = attribute(Tag.MEMBER_NAME, b"", b"m") + attribute(Tag.COLLECTION, b"", b"")

    with pytest.raises(BadMessage, match="deep"):
        read(attribute(Tag.COLLECTION, b"c", b""), deeper * 100_000)


def test_a_flood_of_values_is_refused(monkeypatch):
    monkeypatch.setattr(ipp_message, "MOST_VALUES", 10)

    with pytest.raises(BadMessage, match="more than 10 values"):
        read(attribute(Tag.INTEGER, b"n", bytes(4)), *[attribute(Tag.INTEGER, b"", bytes(4))] * 10)


def test_a_message_that_is_too_long_is_refused(monkeypatch):
    monkeypatch.setattr(ipp_message, "LARGEST_MESSAGE", 100)

    with pytest.raises(BadMessage, match="longer than 100 bytes"):
        decode(GET_JOBS)


def test_a_value_too_long_for_its_field_is_not_written():
    group = Group(Tag.JOB_GROUP, Attributes({"n": words(Tag.TEXT, "x" * 40_000)}))

    with pytest.raises(ValueError, match="too long"):
        encode(Message(code=2, request_id=1, groups=[group]))


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data):
    try:
        decode(HEAD + b"\x04" + data)
    except BadMessage:
        return


@given(st.integers(0, 400), st.integers(0, 255))
def test_one_damaged_byte_is_read_or_refused(place, byte):
    whole = one_group(MEDIA_COL)
    place %= len(whole)
    try:
        decode(whole[:place] + bytes([byte]) + whole[place + 1 :])
    except BadMessage:
        return
