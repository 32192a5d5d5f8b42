"""A back that lies on its side beside its front."""

import numpy as np
import pytest
from PIL import Image

from watcher.art.prepare import prepare_face
from watcher.art.turned import turned_art
from watcher.terms import Level, Side, Turn

WAYS = {"left": Turn.LEFT, "right": Turn.RIGHT}


def test_a_landscape_back_is_held_with_both_ways_to_turn_it(art_of, card):
    _, findings = prepare_face(art_of(2175, 1575, side=Side.BACK, shown="a_back.png"), card())
    assert (findings[0].code, findings[0].level) == ("shape-mismatch", Level.HOLD)
    for words in ("a_back.png is lying on its side", "to the left", "to the right", 'back_quarter = "left" or "right"'):
        assert words in findings[0].message


@pytest.mark.parametrize("mismatch", ["hold", "crop", "pad"])
def test_it_is_held_whatever_is_done_with_other_shapes(art_of, card, mismatch):
    _, findings = prepare_face(art_of(2175, 1575, side=Side.BACK), card(shape_mismatch=mismatch))
    assert findings[0].level is Level.HOLD


@pytest.mark.parametrize("way", ["left", "right"])
def test_the_card_may_say_which_way(art_of, card, way):
    face, findings = prepare_face(art_of(2175, 1575, side=Side.BACK), card(back_quarter=way))
    assert face.art.content.turn is WAYS[way]
    assert (face.art.width_px, face.art.height_px, face.fit.ppi) == (1575, 2175, 300)
    assert [(finding.code, finding.level) for finding in findings] == [("back-turned", Level.NOTE)]
    assert f"a quarter to the {way}" in findings[0].message


def test_so_for_a_portrait_back_on_a_landscape_front(art_of, card):
    face, _ = prepare_face(
        art_of(721, 1075, side=Side.BACK), card(trim="85 x 55 mm", bleed="3 mm", back_quarter="left")
    )
    assert (face.art.width_px, face.art.height_px) == (1075, 721)


@pytest.mark.parametrize("mm", [False, True])
def test_a_back_that_stands_right_is_not_turned(art_of, card, mm):
    size = ("133.35", "184.15") if mm else (1575, 2175)
    face, findings = prepare_face(art_of(*size, mm=mm, side=Side.BACK), card(back_quarter="left"))
    assert (face.art.content.turn, findings) == (Turn.NONE, ())


def test_a_front_is_never_turned(art_of, card):
    _, findings = prepare_face(art_of(2175, 1575), card(back_quarter="left"))
    assert findings[0].level is Level.HOLD
    assert "back_quarter" not in findings[0].message


@pytest.mark.parametrize("orientation", range(1, 9))
def test_turning_adds_to_the_turn_that_the_file_asks_for(picture, saved, opened, orientation):
    """Turned left, what is seen is what numpy's rot90 makes of it; not a pixel of the stored picture is touched."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    art = opened(saved(picture(), exif=exif))
    turned = turned_art(art, Turn.LEFT)
    assert np.array_equal(turned.thumbnail.picture, np.rot90(art.thumbnail.picture))
    assert turned.content.stream is art.content.stream
    assert turned.content.turn == (art.content.turn + 90) % 360
