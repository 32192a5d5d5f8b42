"""Paper as a printer tells it, in exact millimetres."""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.ipp_values import Attributes, Range, Tag, Value, numbers, words
from watcher.outbox.printing.media import Media, read_media, read_media_name, same_sheet, write_media

LETTER = Size(Fraction("215.9"), Fraction("279.4"))


def collection(**members):
    return Attributes({name.replace("_", "-"): value for name, value in members.items()})


def nested(**members):
    return (Value(Tag.COLLECTION, collection(**members)),)


def test_what_is_written_is_read_again():
    media = Media(
        size=LETTER, source="main", kind="cardstock", margins=Margins(*map(Fraction, ("11.68", "3", "0", "4")))
    )

    assert read_media(write_media(media)[0].data) == media


def test_it_is_written_in_hundredths_of_a_millimetre():
    """Source: PWG 5100.7; letter is 21590 x 27940 there."""
    written = write_media(Media(size=LETTER))[0].data

    (size,) = written.collections("media-size")
    assert (size.number("x-dimension"), size.number("y-dimension")) == (21590, 27940)
    assert "media-source" not in written


def test_a_range_of_sizes_takes_what_lies_between():
    size = nested(
        x_dimension=(Value(Tag.RANGE, Range(9000, 33000)),), y_dimension=(Value(Tag.RANGE, Range(14000, 48800)),)
    )
    media = read_media(collection(media_size=size))

    assert media.takes(Size(Fraction(320), Fraction(450)))
    assert media.takes(Size(Fraction(450), Fraction(320)))
    assert not media.takes(Size(Fraction(320), Fraction(500)))


@pytest.mark.parametrize("margin", [(), words(Tag.KEYWORD, "wide"), numbers(-1)])
def test_a_rim_with_an_edge_missing_is_no_rim(margin):
    rim = {f"media_{edge}_margin": numbers(300) for edge in ("top", "right", "bottom")}

    assert read_media(collection(**rim, media_left_margin=margin)).margins is None


def test_sizes_that_are_none_read_as_none():
    assert read_media(Attributes()).size is None
    assert read_media(collection(media_size=nested(x_dimension=numbers(0), y_dimension=numbers(5)))).size is None


@pytest.mark.parametrize("other", ["305 457", "457 305", "304.8 457.2"])
def test_a_size_in_whole_millimetres_is_the_same_sheet(other):
    """12 x 18 in, as printers call it."""
    assert same_sheet(Size(Fraction("304.8"), Fraction("457.2")), Size(*map(Fraction, other.split())))


def test_another_sheet_is_another():
    assert not same_sheet(LETTER, Size(Fraction(210), Fraction(297)))


def test_the_edge_that_goes_in_first_is_read():
    """Source: PWG 5100.13, media-source-properties."""
    feed = nested(media_source_feed_direction=words(Tag.KEYWORD, "long-edge-first"))

    assert read_media(collection(media_source_properties=feed)).lead_edge == "long-edge"


def test_no_rim_at_all_is_borderless():
    assert Media(size=LETTER, margins=Margins.all_round(Fraction(0))).is_borderless
    assert not Media(size=LETTER).is_borderless


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("na_letter_8.5x11in", LETTER),
        ("iso_sra3_320x450mm", Size(Fraction(320), Fraction(450))),
        ("na_number-10_4.125x9.5in", Size(Fraction("104.775"), Fraction("241.3"))),
    ],
)
def test_the_size_is_read_out_of_a_self_describing_name(name, size):
    """Source: PWG 5101.1 section 5."""
    assert read_media_name(name).size == size


@pytest.mark.parametrize(
    "name", ["", "letter", "custom_max_330x1200mm", "iso_a4_0x297mm", "iso_a4_210x297cm", "a_b_1e9x1mm"]
)
def test_other_names_have_no_size(name):
    assert read_media_name(name) is None
