"""Each difference between a printer and the settings is one plain line with the line to write."""

from fractions import Fraction

import pytest

from tests.a_shop import LEAST
from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.comparison import Weight, compare
from watcher.outbox.printing.media import Media
from watcher.outbox.printing.printer_says import PrinterSays
from watcher.settings.load import load_settings

LETTER, A4 = Size(Fraction("215.9"), Fraction("279.4")), Size(Fraction(210), Fraction(297))
QUARTER_INCH = Margins.all_round(Fraction("6.35"))
TEXT = LEAST.replace('printer = "laser"\n', 'printer = "laser"\n%s\n', 1) + "%s\n"


def media(size=LETTER, edges=None, **more):
    return Media(size=size, margins=Margins(*map(Fraction, edges)) if edges else QUARTER_INCH, **more)


def says(**changed):
    """A printer with which the settings above agree."""
    agreed = {
        "model": "Virtual",
        "sheets": (media(),),
        "ready": (media(source="main"),),
        "sides": ("one-sided", "two-sided-long-edge", "two-sided-short-edge"),
        "sources": ("main", "manual"),
        "kinds": ("stationery", "cardstock"),
        "qualities": (3, 4, 5),
        "formats": ("application/pdf",),
        "scalings": ("none", "fit"),
        "most_copies": 99,
        "job_attributes": frozenset(),
        "holds": True,
    }
    return PrinterSays(**{**agreed, **changed})


@pytest.fixture
def differences(tmp_path):
    """What differs between a printer and settings with lines added to the sheet and the printer."""

    def of(told, sheet="", printer=""):
        file = tmp_path / "settings.toml"
        file.write_text(TEXT % (sheet, printer))
        settings = load_settings(file)
        return compare(settings.printers["laser"], settings, told)

    return of


@pytest.fixture
def only(differences):
    """The one difference there is: what it weighs, and its line."""

    def of(*args, **given):
        (found,) = differences(*args, **given)
        return found.weight, found.message

    return of


def test_a_printer_that_agrees_gives_no_line(differences):
    assert differences(says()) == ()


def test_a_wider_rim_is_told_with_both_numbers_and_the_line_to_write(only):
    assert only(says(sheets=(media(edges=("11.68", 3, "11.68", 3)),))) == (
        Weight.REFUSED,
        "letter: the printer leaves 11.68 mm at the top (settings: 6.35 mm) and 11.68 mm at the bottom (settings:"
        ' 6.35 mm) blank. Write into [sheets.letter]: unprintable = ["11.68 mm", "6.35 mm", "11.68 mm", "6.35 mm"]',
    )


def test_the_line_to_write_settles_it(differences):
    """The line that is shown goes into the file as it is."""
    told = says(sheets=(media(edges=("11.68", 3, "4.23", 7)),))
    (found,) = differences(told)

    assert differences(told, sheet=found.message.partition("[sheets.letter]: ")[2]) == ()


def test_a_rim_much_wider_than_needed_is_a_note(only):
    weight, line = only(says(sheets=(media(edges=(3, 4, 3, 4)),)))

    assert weight is Weight.NOTE
    assert line.endswith('unprintable = ["3 mm", "4 mm", "3 mm", "4 mm"]')


def test_the_rim_of_the_back_is_compared_where_it_is_written(only):
    weight, line = only(says(), sheet='unprintable_back = "5 mm"')

    assert weight is Weight.REFUSED
    assert 'unprintable_back = "6.35 mm"' in line


def test_entries_without_a_rim_are_no_rim(only):
    weight, line = only(says(sheets=(media(edges=(0, 0, 0, 0)),)))

    assert weight is Weight.NOTE
    assert "enlarges the page" in line


def test_a_size_that_the_printer_does_not_know_is_refused_with_those_it_knows(only):
    weight, line = only(says(sheets=(media(A4),)))

    assert weight is Weight.REFUSED
    assert "laser does not know a sheet of letter (215.9 x 279.4 mm). It takes A4." in line


def test_a_range_of_sizes_is_enough(differences):
    any_size = Media(
        size=Size(Fraction(90), Fraction(148)), up_to=Size(Fraction(330), Fraction(488)), margins=QUARTER_INCH
    )

    assert differences(says(sheets=(any_size,))) == ()


def test_wrong_paper_in_the_tray_is_told_with_what_lies_there(only):
    weight, line = only(says(ready=(media(A4, source="main", kind="stationery"),)))

    assert weight is Weight.TRAY
    assert line == (
        "letter: no sheet of letter (215.9 x 279.4 mm) lies in laser. There lies A4 (210 x 297 mm), stationery in main."
        " Put the right paper in, and tell the printer at its display"
    )


def test_an_empty_printer_is_told(only):
    assert "There lies nothing" in only(says(ready=()))[1]


def test_a_printer_that_does_not_tell_what_lies_in_it_is_a_note(only):
    assert only(says(ready=None))[0] is Weight.NOTE


def test_two_trays_of_one_size_want_a_word(only, differences):
    told = says(ready=(media(source="main"), media(source="manual")))

    weight, line = only(told)
    assert weight is Weight.REFUSED
    assert 'tray = "main" or "manual"' in line
    assert differences(told, sheet='tray = "manual"') == ()


def test_two_stocks_without_a_tray_want_a_word_too(only, differences):
    told = says(ready=(media(kind="stationery"), media(kind="cardstock")))

    assert 'stock = "cardstock" or "stationery"' in only(told)[1]
    assert differences(told, sheet='stock = "cardstock"') == ()


def test_card_that_the_printer_takes_for_plain_paper_is_a_note(only, differences):
    told = says(ready=(media(source="main", kind="stationery"),))

    assert "takes what lies in its tray main for stationery" in only(told, sheet='paper = "cover, 300 g/m2"')[1]
    assert differences(told, sheet='paper = "plain, 120 g/m2"') == ()


@pytest.mark.parametrize(
    ("line", "words"),
    [('tray = "big"', 'tray = "main" or "manual"'), ('stock = "big"', 'stock = "stationery" or "cardstock"')],
)
def test_a_word_that_the_printer_does_not_know_is_told_with_its_own(differences, line, words):
    assert words in differences(says(), sheet=line)[0].message


def test_a_quality_that_it_has_not_is_refused(only):
    assert only(says(qualities=(4,)), sheet='quality = "high"')[0] is Weight.REFUSED


def test_a_printer_of_one_side_wants_the_stack_turned(only):
    weight, line = only(says(sides=("one-sided",)))

    assert weight is Weight.REFUSED
    assert 'Write into [printers.laser]: duplex = "manual"' in line


def test_a_printer_that_turns_on_the_other_edge_alone(only):
    assert 'flip = "short-edge"' in only(says(sides=("one-sided", "two-sided-short-edge")))[1]


def test_a_printer_that_could_turn_is_a_note_to_who_turns_by_hand(only):
    weight, line = only(says(), printer='duplex = "manual"')

    assert weight is Weight.NOTE
    assert 'duplex = "automatic", and run: print-folder align laser' in line


def test_cards_of_one_side_do_not_ask_for_two(tmp_path):
    file = tmp_path / "settings.toml"
    file.write_text((TEXT % ("", "")).replace('sheet = "letter"', 'sheet = "letter"\nsides = 1', 1))
    settings = load_settings(file)

    assert compare(settings.printers["laser"], settings, says(sides=("one-sided",))) == ()


@pytest.mark.parametrize("formats", [(), ("image/pwg-raster",)])
def test_a_printer_without_pdf_wants_a_queue_between(only, formats):
    weight, line = only(says(formats=formats))

    assert weight is Weight.REFUSED
    assert 'queue = "ipp://localhost/printers/NAME"' in line


@pytest.mark.parametrize("scalings", [(), ("auto", "fit")])
def test_a_printer_that_may_scale_is_refused(only, scalings):
    assert "does not promise to print a page unscaled" in only(says(scalings=scalings))[1]


def test_a_tray_that_keeps_silent_about_the_edge_leaves_it_open(differences):
    assert differences(says(sheets=(media(lead_edge="long-edge"), media()))) == ()


def test_the_edge_that_goes_in_first_is_compared_where_it_is_told(only):
    weight, line = only(says(sheets=(media(lead_edge="long-edge"),)))

    assert weight is Weight.NOTE
    assert 'feed = "long-edge"' in line


def test_a_printer_that_tells_nothing_gives_lines_and_no_error(differences):
    empty = says(
        sheets=(), ready=None, sides=(), sources=(), kinds=(), qualities=(), formats=(), scalings=(), most_copies=None
    )

    assert [one.weight for one in differences(empty)] == [Weight.REFUSED, *[Weight.NOTE] * 3]


def test_words_of_the_printer_are_shown_on_one_line(differences):
    told = says(ready=(media(A4, source="a\nb\x1b[31m"),))

    assert all("\n" not in one.message and "\x1b" not in one.message for one in differences(told))


def test_sheets_of_other_printers_are_not_compared(tmp_path):
    file = tmp_path / "settings.toml"
    other = '[sheets.big]\nsize = "SRA3"\nprinter = "press"\n[printers.press]\nflip = "long-edge"\n'
    file.write_text(TEXT % ("", "") + other)
    settings = load_settings(file)

    assert compare(settings.printers["laser"], settings, says()) == ()
