"""Small print set in an embedded font."""

from fractions import Fraction

import pikepdf
import pytest
from reportlab import rl_config

from watcher.sheet.draw.lettering import binary_streams, printable_text, set_strips, text_strip, text_width

LINE = text_strip("menu, front", Fraction(6), Fraction(40), Fraction(3))


@pytest.mark.parametrize(("text", "shown"), [("café", "café"), ("a\u4e2db", "a\ufffdb"), ("a\tb", "a\ufffdb")])
def test_what_the_font_lacks_becomes_the_replacement_character(text, shown):
    assert printable_text(text) == shown


def test_a_line_is_as_wide_as_its_letters_and_grows_with_their_size():
    assert text_width("mm", Fraction(6)) == 2 * text_width("m", Fraction(6))
    assert text_width("m", Fraction(12)) == pytest.approx(2 * text_width("m", Fraction(6)))


def test_each_strip_is_a_page_of_its_size_and_the_font_is_in_the_file_once(pdf):
    document = pdf(set_strips((LINE, text_strip("back", Fraction(5), Fraction(20), Fraction(2)))))
    sizes = [[float(edge) for edge in page.MediaBox] for page in document.pages]
    assert sizes[0] == pytest.approx([0, 0, 113.3858, 8.5039], abs=1e-3)
    assert sizes[1] == pytest.approx([0, 0, 56.6929, 5.6693], abs=1e-3)
    fonts = [one for one in document.objects if isinstance(one, pikepdf.Dictionary) and "/FontFile2" in one]
    assert len(fonts) == 1


def test_the_same_strips_give_the_same_bytes():
    strips = (LINE,)
    assert set_strips(strips) == set_strips.__wrapped__(strips)


def test_streams_are_binary_inside_the_block_and_as_before_after_it():
    before = rl_config.useA85
    with binary_streams():
        assert not rl_config.useA85
    assert rl_config.useA85 == before
