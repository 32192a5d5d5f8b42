"""A driver that swaps the two edges: what must be chosen in the print dialog is another word than how paper turns.

Words of the file: ISO 32000-1 table 150; of the two edges: RFC 8011 5.2.8.
"""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdf
import pypdfium2
import pytest

from watcher.commands.check_report import describe_settings
from watcher.settings.load import load_settings

pytestmark = pytest.mark.usefixtures("nothing_by_sight", "all_shown")

SWAPPED = 'flip = "long-edge"\ndialog_flip = "short-edge"'


def words(file: Path) -> str:
    with pypdfium2.PdfDocument(file) as document:
        return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)


@pytest.fixture
def made(print_folder: Path, once: Callable[[Path], Any], drop_pair: Callable[..., None]) -> Callable[[str], Path]:
    """An order made with these lines for `flip`; gives its folder."""

    def make(lines: str) -> Path:
        settings = print_folder / "settings.toml"
        settings.write_text(settings.read_text().replace('flip = "long-edge"', lines))
        drop_pair(print_folder / "inbox")
        once(print_folder)
        return print_folder / "outbox/lantern"

    return make


def test_all_that_a_person_or_a_program_is_told_is_the_word_of_the_dialog(made: Callable[[str], Path]) -> None:
    folder = made(SWAPPED)
    assert "flip on short edge" in words(folder / "lantern_instructions.pdf")
    sheets = folder / "lantern_sheets.pdf"
    assert "flip on the short edge" in words(sheets)
    assert "long edge" not in words(sheets)
    hints = pypdf.PdfReader(sheets).root_object["/ViewerPreferences"]
    assert hints["/Duplex"] == "/DuplexFlipShortEdge"


def test_places_follow_the_paper_and_the_ticket_tells_both(made: Callable[[str], Path]) -> None:
    ticket = tomllib.loads((made(SWAPPED) / "lantern_ticket.toml").read_text())
    assert (ticket["flip"], ticket["dialog_flip"]) == ("long-edge", "short-edge")
    assert ticket["places"][0]["back_turn"] == 270, "turned 90 and like a book page: 270"


def test_a_ticket_without_that_word_means_the_same_edge(made: Callable[[str], Path]) -> None:
    assert "dialog_flip" not in tomllib.loads((made('flip = "long-edge"') / "lantern_ticket.toml").read_text())


def test_check_says_how_the_stack_goes_back_in(print_folder: Path) -> None:
    """Printed side up nobody turns it over."""
    settings = print_folder / "settings.toml"
    by_hand = 'flip = "long-edge"\nduplex = "manual"\nreload = "printed side up, top edge first"'
    settings.write_text(settings.read_text().replace('flip = "long-edge"', by_hand))
    said = " ".join(line.text for line in describe_settings(load_settings(settings)))
    assert "you put the stack back in (printed side up, top edge first), which turns the sheet on the long edge" in said
    assert "you turn the stack" not in said


def test_check_names_the_word_of_the_dialog(print_folder: Path, made: Callable[[str], Path]) -> None:
    made(SWAPPED)
    said = " ".join(line.text for line in describe_settings(load_settings(print_folder / "settings.toml")))
    assert "turns the sheet (choose the short edge in the print dialog) on the long edge" in said
