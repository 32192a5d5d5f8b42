"""The head of the page: read at arm's length, so by the size and the place of its words."""

import pypdfium2
import pytest

from tests.instructions.an_order import FACTS, LETTER, changed
from watcher.instructions.page import write_instructions
from watcher.layout.geometry import Size
from watcher.terms import Duplex, Flip

LARGE = 12.0  # points


def large_words(pdf):
    """The words of the first page in large type, and how far from its top they stand, as a share of its height."""
    with pypdfium2.PdfDocument(pdf) as document:
        page = document[0]
        text = page.get_textpage()
        found = [
            (text.get_text_bounded(*item.get_bounds()), item.get_bounds())
            for item in page.get_objects([1])
            if item.get_bounds()[3] - item.get_bounds()[1] >= LARGE
        ]
        lowest = min(1 - bounds[1] / page.get_height() for _, bounds in found)
        text.close()
        page.close()
    return " ".join(words for words, _ in found), lowest


def large(**changes):
    return large_words(write_instructions(changed(FACTS, **changes)))[0]


def test_sheets_paper_two_sided_and_size_stand_in_large_type_in_the_top_third():
    words, lowest = large_words(write_instructions(FACTS))
    for part in ("lantern-walk", "26 sheets", "ivory felt 300 g", "flip on long edge", "actual size (100 %)"):
        assert part in words
    assert lowest < 1 / 3


def test_the_paper_s_own_name_is_large_where_nothing_else_is_known_of_it():
    assert "letter" in large(paper="")


@pytest.mark.parametrize("changes", [{"flip": None}, {"duplex": Duplex.MANUAL, "files": ("f.pdf", "b.pdf")}])
def test_two_sided_printing_is_off_for_one_side_and_for_a_stack_turned_by_hand(changes):
    assert "off (one side)" in large(**changes)


def test_the_dialog_s_own_word_is_large():
    assert "flip on short edge" in large(chosen_flip=Flip.SHORT_EDGE)
    assert "flip on long edge" in large(sheet=Size(LETTER.height, LETTER.width))


def test_a_repeat_has_its_own_name_and_says_what_it_is_the_same_as():
    pdf = write_instructions(changed(FACTS, order="spring-menu-3", printed_as="spring-menu", date="2026-02-01"))
    assert "spring-menu-3" in large_words(pdf)[0]
    with pypdfium2.PdfDocument(pdf) as document:
        page = document[0]
        text = page.get_textpage()
        said = text.get_text_range()
        text.close()
        page.close()
    assert "the same as spring-menu of 2026-02-01" in said


def test_a_name_in_letters_that_the_page_lacks_says_so():
    with pypdfium2.PdfDocument(write_instructions(changed(FACTS, order="\u6625"))) as document:
        page = document[0]
        text = page.get_textpage()
        said = text.get_text_range()
        text.close()
        page.close()
    assert "letters that this page cannot write" in said
