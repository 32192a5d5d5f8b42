"""New settings out of what a printer says: they load, keep their comments, and agree with the printer."""

import re
import tomllib
from fractions import Fraction

import pytest

from tests.outbox.printing.test_comparison import says
from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.comparison import Weight, compare
from watcher.outbox.printing.media import Media
from watcher.outbox.printing.new_settings import fill_in
from watcher.settings.load import load_settings
from watcher.settings.starter import STARTERS, starter_text

URI = "ipp://127.0.0.1:8631/ipp/print"
LETTER, A4, SRA3 = ("215.9", "279.4"), (210, 297), (320, 450)
RIM = Margins(*map(Fraction, ("4.23", "3", "11.68", "3")))


def media(*sizes, source="main"):
    return tuple(Media(size=Size(*map(Fraction, size)), margins=RIM, source=source) for size in sizes)


def printer(known, ready, **more):
    return says(sheets=media(*known), ready=media(*ready), **more)


SHOPS = [
    printer([LETTER, A4, SRA3], [LETTER]),
    printer([A4, (148, 210), (105, 148)], [A4]),
    printer([SRA3, ("330.2", "482.6")], [SRA3]),
    printer([(257, 364), (297, 420)], [(257, 364)]),
    printer([LETTER], []),
    printer([A4], [A4], sides=("one-sided",)),
    printer([A4], [A4], sides=("one-sided", "two-sided-short-edge")),
]


@pytest.fixture
def loaded(tmp_path):
    def load(text):
        file = tmp_path / "settings.toml"
        file.write_text(text)
        return load_settings(file)

    return load


@pytest.mark.parametrize("kind", STARTERS)
@pytest.mark.parametrize("told", SHOPS)
def test_every_starter_agrees_with_the_printer_it_was_filled_from(kind, told, loaded):
    settings = loaded(fill_in(starter_text(kind), URI, told))

    (name,) = settings.printers
    found = compare(settings.printers[name], settings, told)
    assert [one.message for one in found if one.weight is Weight.REFUSED] == []


@pytest.mark.parametrize("kind", STARTERS)
@pytest.mark.parametrize("told", SHOPS)
def test_no_comment_is_lost(kind, told):
    def comments(text):
        """What is explained; of a line that is asleep only its explanation."""
        return {found for found in re.findall(r"# ?([^#\n]*)$", text, re.MULTILINE) if " = " not in found}

    lost = comments(starter_text(kind)) - comments(fill_in(starter_text(kind), URI, told))

    assert [comment for comment in lost if "you put the stack back in" not in comment] == []  # is said for its printer


@pytest.mark.parametrize("kind", STARTERS)
def test_lines_stay_within_the_width_of_the_starters(kind):
    text = fill_in(starter_text(kind), URI, SHOPS[0])

    assert max(len(line) for line in text.splitlines()) <= 120


@pytest.mark.parametrize("kind", STARTERS)
def test_a_rim_stands_behind_the_size_of_its_sheet(kind):
    text = fill_in(starter_text(kind), URI, SHOPS[0])
    tables = [table for table in text.split("\n[") if table.startswith("sheets.") and "\nunprintable = " in table]
    assert tables
    assert all(table.index("\nsize = ") < table.index("\nunprintable = ") for table in tables)


def test_sheets_are_called_as_we_call_them(loaded):
    text = fill_in(
        starter_text("shop"), URI, printer([LETTER, A4, SRA3, ("304.8", "457.2")], [LETTER, ("304.8", "457.2")])
    )
    settings = loaded(text)

    assert settings.sheets.keys() == {"sra3", "sra3-a6", "letter", "12x18"}
    assert settings.sheets["letter"].unprintable == RIM
    assert 'size = "letter"' in text
    assert "# The printer takes these too; each that you use wants a table as above: A4." in text


def test_cards_go_on_a_sheet_that_the_printer_knows(loaded):
    settings = loaded(fill_in(starter_text("home-laser"), URI, printer([A4], [A4])))

    assert {card.sheet for card in settings.cards.values()} == {"a4"}


def test_a_size_without_a_name_is_written_in_millimetres(loaded):
    settings = loaded(fill_in(starter_text("home-laser"), URI, printer([(200, 300)], [(200, 300)])))

    assert settings.sheets["200x300"].size == Size(Fraction(200), Fraction(300))


@pytest.mark.parametrize(("sides", "duplex"), [(("one-sided",), "manual"), (("two-sided-long-edge",), "automatic")])
def test_who_turns_the_sheets_is_as_the_printer_says(sides, duplex):
    text = fill_in(starter_text("shop"), URI, printer([SRA3], [SRA3], sides=sides))

    assert tomllib.loads(text)["printers"]["press"]["duplex"] == duplex


def test_the_address_and_the_trusted_certificate_are_written(loaded):
    uri = URI.replace("ipp://", "ipps://")
    settings = loaded(fill_in(starter_text("home-inkjet"), uri, SHOPS[0], "0f" * 32))

    assert (settings.printers["inkjet"].queue, settings.printers["inkjet"].fingerprint) == (uri, "0f" * 32)


def test_a_printer_that_tells_no_sheets_leaves_them_as_they_are(loaded):
    settings = loaded(fill_in(starter_text("shop"), URI, says(sheets=(), ready=None, sides=())))

    assert settings.sheets.keys() == {"13x19", "sra3", "sra3-a6"}


def test_a_printer_that_does_not_tell_whether_it_turns_leaves_who_does(loaded):
    before = loaded(starter_text("shop")).printers["press"].duplex
    text = fill_in(starter_text("shop"), URI, says(sheets=(), ready=None, sides=()))

    assert tomllib.loads(text)["printers"]["press"].get("duplex", before) == before == "automatic"
