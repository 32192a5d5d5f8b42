"""The head of the instructions, to be read at arm's length: name, number of sheets, paper, two-sided, actual size."""

from collections.abc import Iterator

from reportlab.lib.colors import black
from reportlab.platypus import Flowable, Table

from watcher.instructions import words
from watcher.instructions.page_facts import Instructions
from watcher.instructions.style import BARE, BOLD, LARGE_SIZES, NO_GLYPH, TITLE_SIZES, fitted, paragraph, printable
from watcher.orders.quantity import counted
from watcher.terms import Duplex
from watcher.units import show_size

_PADDING, _MIDDLE = 5.0, 8.0  # points
_HEAVY, _LIGHT = 1.4, 0.5


def key_facts(facts: Instructions, width: float) -> Iterator[Flowable]:
    """Set the name of the order and the four facts that its print dialog asks for, in large type."""
    yield fitted(words.plain(facts.order), TITLE_SIZES, "title", width, 2)
    if NO_GLYPH in printable(facts.order, BOLD):
        yield paragraph(
            "The name has letters that this page cannot write; the picture shows which order it is.", "tile"
        )
    if facts.printed_as is not None:
        first = f"<b>{words.plain(facts.printed_as)}</b> of {words.plain(facts.date)}"
        said = f"the same as {first}, whose name is on its sheets"
        yield paragraph(said, "under title")
    half = width / 2
    tiles = [
        _tile(*tile, half - _PADDING - _MIDDLE) for tile in (_sheets(facts), _paper(facts), _sides(facts), _size())
    ]
    style = [
        *BARE,
        ("LEFTPADDING", (1, 0), (1, -1), _MIDDLE),
        ("RIGHTPADDING", (0, 0), (0, -1), _MIDDLE),
        ("TOPPADDING", (0, 0), (-1, -1), 4),
        ("BOTTOMPADDING", (0, 0), (-1, -1), _PADDING),
        ("LINEABOVE", (0, 0), (-1, 0), _HEAVY, black),
        ("LINEBELOW", (0, 0), (-1, 0), _LIGHT, black),
        ("LINEBELOW", (0, 1), (-1, 1), _HEAVY, black),
        ("LINEAFTER", (0, 0), (0, -1), _LIGHT, black),
    ]
    yield Table([tiles[:2], tiles[2:]], colWidths=[half, half], style=style, spaceBefore=5, spaceAfter=7)


def _tile(label: str, value: str, below: str, width: float) -> list[Flowable]:
    large = fitted(value, LARGE_SIZES, "large", width, 1 if len(value) < 40 else 2)
    return [paragraph(label, "tile label"), large, paragraph(below, "tile")]


def _sheets(facts: Instructions) -> tuple[str, str, str]:
    return "PRINT", counted(facts.count.total, "sheet"), facts.count.words


def _paper(facts: Instructions) -> tuple[str, str, str]:
    sheet = facts.settings.sheet
    size = words.size_in_both(facts.layout.sheet, inches_first=facts.inches_first)
    if "about" in size:  # a paper of the other system: what its pack says is enough
        size = show_size(facts.layout.sheet.width, facts.layout.sheet.height)
    name = words.plain(sheet.name)
    if not sheet.paper:
        return "ON THIS PAPER", name, size
    return "ON THIS PAPER", words.plain(sheet.paper), f"<b>{name}</b>, {size}"


def _sides(facts: Instructions) -> tuple[str, str, str]:
    """What to choose under "two-sided" in the print dialog.

    Source: RFC 8011 5.2.8 for the two edges. "Book" and "tablet" are what drivers say for an upright page (common
    practice, no source); for a page wider than high drivers do not agree, so there the edge alone is named.
    """
    label, printer, turns = "TWO-SIDED", facts.settings.printer, facts.layout.flip
    if turns is None:
        return label, "off (one side)", "one side only is printed"
    if printer.duplex is Duplex.MANUAL:
        return label, "off (one side)", "fronts, turn the stack, then the backs"
    flip = printer.chosen_flip or turns
    if facts.layout.sheet.is_landscape:
        return label, f"flip on {flip.words}", "both sides; go by the edge, not by words like 'book' or 'tablet'"
    return label, f"flip on {flip.words}", f"both sides; some printers say '{flip.dialog_word}'"


def _size() -> tuple[str, str, str]:
    return "SIZE", "actual size (100 %)", "never 'fit', never borderless: both enlarge it"
