"""What is said of annotations and form fields that a page marks for printing."""

import pytest
from pikepdf import Array, Dictionary, Name, String

from tests.art.pdf.annotated_page import HIDDEN, Page
from watcher.terms import Level

# -- what is said ------------------------------------------------------------------------------------------------------


def test_drawn_comments_are_warned_of_and_drawn_fields_noted(opened, said, small):
    page = Page()
    page.add("Stamp", AP=page.look())
    page.field("Lena")
    found = said(opened(page.saved(), "pdf", shown="x.pdf"), small)
    assert found["comments-printed"].level is Level.WARN
    assert "x.pdf has 1 stamp or other comment" in found["comments-printed"].message
    assert found["fields-printed"].level is Level.NOTE
    assert "1 form field to be printed" in found["fields-printed"].message


@pytest.mark.parametrize("kind", ["Line", "Polygon", "Link", "Stamp"])
def test_what_is_printed_but_looks_like_nobody_knows_what_is_held(opened, said, small, kind):
    """A link has a frame of one point where nothing is said of it (Table 173)."""
    page = Page()
    page.add(kind)
    finding = said(opened(page.saved(), "pdf"), small)["printed-thing-missing"]
    assert finding.level is Level.HOLD
    assert f"1 thing on its page to be printed ({kind})" in finding.message


@pytest.mark.parametrize(("words", "letters"), [("Lena 你好", "你好"), ("Zoë 😀", "😀"), ("Привет", "Привет")])
def test_letters_that_the_typeface_of_a_form_lacks_are_held(opened, said, small, words, letters):
    """Pdfium leaves those out that no typeface on the machine has, and says nothing (seen with it)."""
    page = Page()
    page.field(words)
    finding = said(opened(page.saved(), "pdf"), small)["letters-missing"]
    assert finding.level is Level.HOLD
    assert f"({letters})" in finding.message


@pytest.mark.parametrize("words", ["Zoë & Müller – 20 €", "Smörgås, “très” bon…"])
def test_letters_of_western_languages_are_no_news(opened, said, small, words):
    page = Page()
    page.field(words)
    page.field("你好", AP=page.look())  # has a look of its own
    assert "letters-missing" not in said(opened(page.saved(), "pdf"), small)


@pytest.mark.parametrize("frame", [{"Border": Array([0, 0, 0])}, {"BS": Dictionary(W=0)}])
def test_a_link_without_a_frame_is_no_news(opened, said, small, frame):
    page = Page()
    page.add("Link", **frame)
    assert said(opened(page.saved(), "pdf"), small).keys() == {"one-colour-side"}


def test_a_field_without_a_word_in_it_is_no_news(opened, said, small):
    page = Page()
    page.field("")
    page.field("Off", kind="Btn", AS=Name.Off, AP=Dictionary(N=Dictionary(Yes=page.look().N)))
    assert said(opened(page.saved(), "pdf"), small).keys() == {"one-colour-side"}


def test_a_note_for_readers_that_would_be_printed_is_held(opened, said, small):
    page = Page()
    page.add("Text", Contents=String("larger, please"))
    assert said(opened(page.saved(), "pdf"), small)["remarks-printed"].level is Level.HOLD


def test_what_a_viewer_shows_but_is_not_printed_is_told(opened, said, small):
    page = Page()
    page.add("Stamp", 0, AP=page.look())
    page.field("Lena", 0)
    page.add("Stamp", HIDDEN, AP=page.look())
    page.add("Link", 0)
    finding = said(opened(page.saved(), "pdf"), small)["notes-left-out"]
    assert finding.level is Level.WARN
    assert "has 2 comments or form fields" in finding.message
