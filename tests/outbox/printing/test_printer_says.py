"""What a printer says, read into one record: the widest rim of what matches, and no rim that is none."""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.ipp_values import Attributes, Range, Tag, Value, numbers, words
from watcher.outbox.printing.media import Media, write_media
from watcher.outbox.printing.printer_says import read_printer

LETTER, LYING = Size(Fraction("215.9"), Fraction("279.4")), Size(Fraction("279.4"), Fraction("215.9"))


def rim(*edges):
    return Margins(*(Fraction(edge) for edge in edges))


def says(*sheets, **more):
    given = {"media-col-database": tuple(value for one in sheets for value in write_media(one))}
    return read_printer(Attributes({**given, **{name.replace("_", "-"): value for name, value in more.items()}}))


def test_the_widest_edge_of_all_that_match_is_the_rim():
    told = says(Media(size=LETTER, margins=rim(1, 2, 3, 4)), Media(size=LETTER, margins=rim(4, 1, 3, 2)))

    assert told.rim_for(LETTER) == rim(4, 2, 3, 4)


def test_supported_margins_are_not_believed():
    """Measured: a printer said 6.35 mm there and 11.68 mm in its database."""
    told = says(Media(size=LETTER, margins=rim("11.68", 3, 3, 3)), media_top_margin_supported=numbers(635))

    assert told.rim_for(LETTER).top == Fraction("11.68")


def test_an_entry_without_any_rim_does_not_count():
    told = says(Media(size=LETTER, margins=rim(0, 0, 0, 0)), Media(size=LETTER, margins=rim(3, 3, 3, 3)))

    assert told.rim_for(LETTER) == rim(3, 3, 3, 3)


def test_only_entries_without_any_rim_give_none():
    assert says(Media(size=LETTER, margins=rim(0, 0, 0, 0))).rim_for(LETTER) is None


def test_one_edge_of_zero_is_a_rim():
    assert says(Media(size=LETTER, margins=rim(3, 0, 3, 0))).rim_for(LETTER) == rim(3, 0, 3, 0)


@pytest.mark.parametrize(
    ("source", "kind", "top"), [("main", None, 2), (None, "cardstock", 3), ("main", "stationery", 2), (None, None, 3)]
)
def test_a_tray_and_a_stock_choose_among_the_entries(source, kind, top):
    told = says(
        Media(size=LETTER, margins=rim(2, 2, 2, 2), source="main", kind="stationery"),
        Media(size=LETTER, margins=rim(3, 3, 3, 3), source="manual", kind="cardstock"),
        Media(size=LETTER, margins=rim(1, 1, 1, 1)),
    )

    assert told.rim_for(LETTER, source, kind).top == top


def test_a_sheet_that_lies_on_its_side_gets_the_wider_of_two_opposite_edges():
    """The printer turns it to the left or to the right; nobody tells which."""
    told = says(Media(size=LETTER, margins=rim(5, 2, 1, 3)))

    assert told.rim_for(LYING) == rim(3, 5, 3, 5)


def test_a_printer_that_tells_nothing_reads_as_empty():
    told = read_printer(Attributes())

    assert (told.sheets, told.ready, told.most_copies, told.holds) == ((), None, None, False)


def test_nothing_ready_is_not_the_same_as_not_told():
    told = says(media_col_ready=(Value(Tag.NO_VALUE, None),))

    assert told.ready == ()


def test_values_that_are_no_words_are_passed_over():
    told = says(sides_supported=numbers(1), copies_supported=(Value(Tag.RANGE, Range(1, 99)),))

    assert (told.sides, told.most_copies) == ((), 99)


def test_whether_a_job_can_be_held_is_told():
    assert says(job_hold_until_supported=words(Tag.KEYWORD, "no-hold", "indefinite")).holds


def test_a_printer_without_a_database_still_tells_what_lies_in_it_and_its_sizes():
    ready = write_media(Media(size=LETTER, margins=rim(3, 4, 3, 4), source="main"))
    names = words(Tag.KEYWORD, "na_letter_8.5x11in", "iso_a4_210x297mm", "custom_min_76x127mm")
    told = read_printer(Attributes({"media-col-ready": ready, "media-supported": names}))

    assert told.rim_for(LETTER) == rim(3, 4, 3, 4)
    assert told.sheets_for(Size(Fraction(210), Fraction(297)))
    assert told.rim_for(Size(Fraction(210), Fraction(297))) is None
