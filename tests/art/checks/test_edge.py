"""How the checks of pixels word what they find. What they find and what not: test_designs.py."""

import numpy as np
import pytest
from PIL import Image

from watcher.terms import Level

K = 12  # px a millimetre


@pytest.fixture
def opened_on(saved, opened):
    """Art of 66 x 90 mm, white, with boxes in mm from its upper left painted on it."""

    def make(*boxes, ground=(255, 255, 255)):
        pixels = np.full((90 * K, 66 * K, 3), ground, np.uint8)
        for left, top, right, bottom, colour in boxes:
            pixels[round(top * K) : round(bottom * K), round(left * K) : round(right * K)] = colour
        return opened(saved(Image.fromarray(pixels)))

    return make


def test_what_stands_near_the_cut_is_told_with_its_distance_and_edge(opened_on, said, small):
    """The art begins 3 mm outside of the trim, so 4.2 mm from its left are 1.2 mm inside the cut."""
    finding = said(opened_on((4.2, 30, 20, 33, (0, 0, 0))), small)["safe-zone"]
    assert finding.level is Level.WARN
    assert "about 1.2 mm at the left; 3 mm are wanted" in finding.message


def test_each_edge_is_told(opened_on, said, small):
    words = said(opened_on((30, 4, 36, 8, (0, 0, 0)), (55, 40, 61, 44, (0, 0, 0))), small)["safe-zone"].message
    assert "1 mm at the top" in words
    assert "2 mm at the right" in words


def test_the_safe_zone_is_the_cards(opened_on, said, card):
    art = opened_on((4.2, 30, 20, 33, (0, 0, 0)))
    wide = {"trim": "60 x 84 mm", "bleed": "3 mm", "warn_ppi": 20, "hold_ppi": 10}
    assert "safe-zone" not in said(art, card(safe="1 mm", **wide))
    assert "5 mm are wanted" in said(art, card(safe="5 mm", **wide))["safe-zone"].message


def test_what_lies_across_the_cut_is_told(opened_on, said, small):
    finding = said(opened_on((1.5, 30, 20, 33, (0, 0, 0))), small)["across-the-cut"]
    assert finding.level is Level.WARN
    assert "across the cut at the left" in finding.message


def test_what_runs_out_is_fine(opened_on, said, small):
    assert said(opened_on((0, 30, 66, 40, (0, 0, 0)), (20, 60, 40, 90, (90, 0, 0))), small).keys() == set()


def test_a_white_frame_is_told_with_the_bleed_that_is_left(opened_on, said, small):
    finding = said(opened_on((2, 2, 64, 88, (20, 60, 90))), small)["white-frame"]
    assert finding.level is Level.WARN
    for words in ("all four edges", "of 3 mm of bleed only 1 mm"):
        assert words in finding.message


def test_a_card_without_bleed_has_no_white_frame(opened_on, said, card):
    bare = card(trim="66 x 90 mm", bleed="0 mm", warn_ppi=20, hold_ppi=10)
    assert "white-frame" not in said(opened_on((6, 6, 60, 84, (20, 60, 90))), bare)


def test_a_narrow_border_is_told_with_its_width(opened_on, said, small):
    finding = said(opened_on((4, 4, 62, 86, (20, 60, 90))), small)["narrow-border"]
    assert finding.level is Level.WARN
    assert "about 1 mm all round; narrower than 2 mm" in finding.message


@pytest.mark.parametrize(("right", "is_told"), [(61.2, True), (60, False)])
def test_borders_that_are_not_meant_to_be_the_same_are_no_narrow_border(opened_on, said, small, right, is_told):
    """1 mm at three edges, 1.8 or 3 mm at the right: more than 1 mm apart is another design (our own choice)."""
    found = said(opened_on((4, 4, right, 86, (20, 60, 90))), small)
    assert ("narrow-border" in found) is is_told


def test_a_blank_side_is_warned_of_and_one_of_one_colour_noted(opened_on, said, small):
    assert said(opened_on(), small)["blank-side"].level is Level.WARN
    flat = said(opened_on(ground=(40, 80, 120)), small)
    assert flat.keys() == {"one-colour-side"}
    assert flat["one-colour-side"].level is Level.NOTE
    assert "40, 80, 120" in flat["one-colour-side"].message


def test_a_single_letter_is_no_blank_side(opened_on, said, small):
    assert said(opened_on((30, 40, 31, 41, (0, 0, 0))), small).keys() == set()


def test_a_blank_page_is_seen_as_one(pdf_of, opened, said, small):
    assert "blank-side" in said(opened(pdf_of(187, 255, content=b""), "pdf"), small)


def test_art_that_is_padded_is_looked_at_where_it_reaches_the_cut(opened_on, said, card):
    """66 x 90 mm of art in a card of 60 x 100 mm: it reaches the cut at the left and the right alone."""
    tall = card(trim="60 x 100 mm", bleed="3 mm", shape_mismatch="pad", warn_ppi=20, hold_ppi=10)
    assert "safe-zone" not in said(opened_on((20, 0.5, 40, 3, (0, 0, 0))), tall)
    assert "safe-zone" in said(opened_on((0.8, 30, 9, 33, (0, 0, 0))), tall)


@pytest.mark.parametrize("size", [(1, 1), (2, 3), (5, 200), (200, 5)])
def test_tiny_pictures_are_looked_at_too(saved, opened, said, small, size):
    assert "shape-mismatch" in said(opened(saved(Image.new("RGB", size, "red"))), small) or size == (2, 3)


@pytest.mark.parametrize(("inside", "is_told"), [(2.5, True), (2.9, False)])
def test_what_stands_a_shade_inside_the_safe_zone_is_left_alone(opened_on, said, small, inside, is_told):
    """3 mm are wanted, and a small picture is measured to 0.3 mm (our own choice)."""
    assert ("safe-zone" in said(opened_on((3 + inside, 30, 20, 33, (0, 0, 0))), small)) is is_told


@pytest.mark.parametrize(("left", "is_told"), [(0.5, False), (1, True), (2, True)])
def test_a_white_frame_is_told_where_a_quarter_of_the_bleed_is_missing(opened_on, said, small, left, is_told):
    """Of 3 mm 2.5 mm are enough, 2 mm are not (our own choice)."""
    frame = (left, left, 66 - left, 90 - left, (20, 60, 90))
    assert ("white-frame" in said(opened_on(frame), small)) is is_told


@pytest.mark.parametrize(("left", "is_told"), [(3, True), (1.5, False)])
def test_a_single_white_edge_is_told_where_it_ends_at_the_cut(opened_on, said, small, left, is_told):
    """Further out it may be a stripe of the design."""
    found = said(opened_on((left, 0, 66, 90, (20, 60, 90))), small).get("white-frame")
    assert (found is not None) is is_told
    assert found is None or "a white edge at the left: of 3 mm of bleed only 0 mm" in found.message


@pytest.mark.parametrize(("width", "is_told"), [(1.6, True), (2.1, False)])
def test_a_border_is_narrow_below_two_millimetres(opened_on, said, small, width, is_told):
    edge = 3 + width
    assert ("narrow-border" in said(opened_on((edge, edge, 66 - edge, 90 - edge, (20, 60, 90))), small)) is is_told


def test_edges_are_named_in_a_row(opened_on, said, small):
    across = [(x, 1.5, x + 6, 20, (0, 0, 0)) for x in (30,)] + [(46, 40, 64.5, 46, (0, 0, 0))]
    assert (
        "across the cut at the top and the right that ends" in said(opened_on(*across), small)["across-the-cut"].message
    )
