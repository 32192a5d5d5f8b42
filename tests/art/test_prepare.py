"""Opened art made ready: turned where the settings say so, fitted to the opened card, and both sides put together."""

from fractions import Fraction

import numpy as np
from PIL import Image

from watcher.art.prepare import prepare_face, sides_together
from watcher.layout.geometry import Size
from watcher.terms import Side


def codes(findings):
    return [finding.code for finding in findings]


def test_the_art_of_a_folded_card_is_its_spread(art_of, card):
    """5 x 7 in that opens like a book is 10 x 7 in flat, 10.25 x 7.25 in with bleed: 3075 x 2175 px at 300 ppi."""
    face, findings = prepare_face(art_of(3075, 2175), card(fold="left"))
    assert face.fit.box.size == Size(Fraction("260.35"), Fraction("184.15"))
    assert (face.fit.ppi, codes(findings)) == (300, [])


def test_a_back_on_its_side_is_turned_where_the_settings_say_how(art_of, card):
    back = art_of(2175, 1575, side=Side.BACK)
    face, findings = prepare_face(back, card(back_quarter="left"))
    assert (face.art.extent.width, face.art.extent.height) == (1575, 2175)
    assert "back-turned" in codes(findings)
    assert "shape-mismatch" in codes(prepare_face(back, card())[1])


def test_a_front_on_its_side_is_never_turned_by_the_setting_for_backs(art_of, card):
    face, findings = prepare_face(art_of(2175, 1575), card(back_quarter="left"))
    assert face.art.extent.width == 2175
    assert "shape-mismatch" in codes(findings)


def test_a_face_knows_the_one_colour_along_its_edges(opened, saved, small):
    pixels = np.full((180, 132, 3), (20, 90, 60), np.uint8)
    plain = prepare_face(opened(saved(Image.fromarray(pixels))), small)[0]
    pixels[:, :66] = (200, 10, 10)
    halves = prepare_face(opened(saved(Image.fromarray(pixels))), small)[0]
    assert (plain.edge_colour, halves.edge_colour) == ((20, 90, 60), None)


def test_sides_together_are_in_their_order_with_what_is_said_of_each(art_of, card):
    sides = [prepare_face(art_of(150, 210, side=side), card()) for side in (Side.FRONT, Side.BACK)]
    faces, findings = sides_together(sides, card())
    assert [face.art.side for face in faces] == [Side.FRONT, Side.BACK]
    assert [one.side for one in findings if one.code == "low-resolution"] == [Side.FRONT, Side.BACK]
