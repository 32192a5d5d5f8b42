"""The picture beside why.txt: the art on its card, what is wrong marked in red, and told below."""

from dataclasses import replace
from fractions import Fraction
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from watcher.art.model import Art, CardFace, Fit, ImageStream, Raster, Thumbnail
from watcher.instructions.held_picture import MOST_BYTES, ShownDesign, why_png
from watcher.layout.geometry import Box, Size
from watcher.orders.both_sides import said_of_sides
from watcher.settings.card import CardSettings
from watcher.terms import Finding, Level, MakeBleed, Side

CARD = CardSettings(name="tag", trim="60 x 84 mm", bleed="3 mm", sheet="a4")


def face(side=Side.FRONT, ink=None, box=(-3, -3, 63, 87)):
    """White art of 8 px a millimetre, with a black box in mm from its upper left."""
    pixels = np.full(((box[3] - box[1]) * 8, (box[2] - box[0]) * 8, 3), 255, np.uint8)
    if ink:
        pixels[ink[1] * 8 : ink[3] * 8, ink[0] * 8 : ink[2] * 8] = 0
    stream = ImageStream(data=b"", filter="/FlateDecode", predictor=15, width_px=0, height_px=0, bits=8, colours=3)
    art = Art(
        side=side, file="a.png", sha256="", extent=Size(Fraction(66), Fraction(90)), width_px=528, height_px=720,
        content=Raster(stream=stream), thumbnail=Thumbnail(picture=pixels),
    )  # fmt: skip
    fit = Fit(box=Box(*map(Fraction, box)), bleed=Fraction(3), make_bleed=MakeBleed.NONE, ppi=None)
    return CardFace(art=art, fit=fit)


def drawn(*faces, code="safe-zone", side=Side.FRONT, message="a.png has something near the cut."):
    findings = said_of_sides([Finding(level=Level.WARN, code=code, message=message, side=side)])
    return Image.open(BytesIO(why_png([ShownDesign(faces=faces)], findings, CARD))).convert("RGB")


def red(picture):
    pixels = np.asarray(picture).astype(int)
    return (pixels[..., 0] > 150) & (pixels[..., 1] < 80) & (pixels[..., 2] < 80)


def test_the_spot_is_ringed_in_red_where_it_is():
    marked = red(drawn(face(ink=(5, 60, 20, 64))))
    rows, columns = np.nonzero(marked)
    assert columns.max() < 200  # at the left
    assert rows.min() > marked.shape[0] // 3  # and not at the top
    assert not red(drawn(face(ink=(5, 60, 20, 64)), code="fonts-missing")).any()


def test_front_and_back_stand_side_by_side_and_only_the_one_in_question_is_marked():
    picture = drawn(face(), face(Side.BACK), code="blank-side", side=Side.BACK)
    columns = np.nonzero(red(picture))[1]
    assert columns.min() > picture.width // 3


def test_what_would_be_cut_off_is_hatched():
    whole, wide = (
        red(drawn(face(box=box), code="shape-mismatch")).sum() for box in ((-3, -3, 63, 87), (-15, -3, 75, 87))
    )
    assert wide > whole == 0


def test_a_long_message_is_wrapped_below():
    short, long = (drawn(face(), message="word " * many).height for many in (2, 200))
    assert long > short + 100


def test_it_is_small_and_the_same_each_time():
    findings = said_of_sides([Finding(level=Level.WARN, code="safe-zone", message="x", side=Side.FRONT)])
    designs = [ShownDesign(faces=(face(ink=(5, 60, 20, 64)), face(Side.BACK)))]
    one, other = (why_png(designs, findings, CARD) for _ in range(2))
    assert one == other
    assert len(one) < 60_000


def test_the_wildest_photo_is_still_small():
    wild = face()
    noise = np.random.default_rng(1).integers(0, 256, (720, 528, 3), np.uint8)
    wild = replace(wild, art=replace(wild.art, thumbnail=Thumbnail(picture=noise)))
    assert len(why_png([ShownDesign(faces=(wild, wild))], (), CARD)) <= MOST_BYTES


def test_without_any_thumbnail_there_is_nothing_to_show():
    bare = face()
    bare = replace(bare, art=replace(bare.art, thumbnail=None))
    with pytest.raises(ValueError, match="no side"):
        why_png([ShownDesign(faces=(bare,))], (), CARD)
