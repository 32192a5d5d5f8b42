"""Checks of both sides together: their shapes, their sizes, whether they are two pictures."""

import numpy as np
import pytest
from PIL import Image, ImageDraw

from watcher.art.checks.sides import same_shape, same_size
from watcher.art.fit import fit_art
from watcher.art.model import CardFace
from watcher.terms import Level, Side


@pytest.fixture
def sides(saved, opened):
    """A front and a back, opened."""

    def make(front, back, formats=("PNG", "PNG")):
        kinds = {"PNG": "png", "JPEG": "jpg"}
        data = [saved(image, format) for image, format in zip((front, back), formats, strict=True)]
        return [
            opened(data[0], kinds[formats[0]], shown="a_front.png"),
            opened(data[1], kinds[formats[1]], side=Side.BACK, shown="a_back.png"),
        ]

    return make


def design(word="Menu", size=(528, 720)):
    image = Image.new("RGB", size, "#f4ece0")
    pen = ImageDraw.Draw(image)
    pen.rectangle([size[0] // 5, size[1] // 5, size[0] // 2, size[1] // 3], fill="#203050")
    pen.text((size[0] // 2, size[1] // 2), word, fill="black", font_size=size[0] / 15)
    return image


def test_a_back_that_is_the_front_again_is_warned_of(sides, said, small):
    finding = said(sides(design(), design()), small)["back-is-front"]
    assert finding.level is Level.WARN
    for words in ("a_back.png", "a_front.png"):
        assert words in finding.message


def test_so_is_one_of_another_format(sides, said, small):
    assert "back-is-front" in said(sides(design(), design(), ("PNG", "JPEG")), small)


@pytest.mark.parametrize(("levels", "is_same"), [(8, True), (14, False)])
def test_a_shade_that_no_eye_tells_apart_makes_no_other_back(sides, said, small, levels, is_same):
    """An export of lower quality is off by up to 9 of 255 levels (our own measurement); a lighter print is another."""
    lighter = design().point(lambda level: max(0, level - levels))
    assert ("back-is-front" in said(sides(design(), lighter), small)) is is_same


def test_a_back_with_another_word_is_another_back(sides, said, small):
    assert "back-is-front" not in said(sides(design("Menu"), design("Wine")), small)


def test_two_plain_sides_are_no_news(sides, said, small):
    plain = Image.new("RGB", (528, 720), "#203050")
    assert "back-is-front" not in said(sides(plain, plain), small)


def test_pages_of_two_sizes_are_noted(pdf_of, opened, said, small):
    def page(factor, side, word):
        content = b"0.2 g %d 40 60 60 re f" % (20 * word)
        return opened(pdf_of(187.09 * factor, 255.12 * factor, content=content), "pdf", side=side)

    finding = said([page(1, Side.FRONT, 1), page(1.1, Side.BACK, 4)], small)["sides-differ-in-size"]
    assert finding.level is Level.NOTE
    assert "72.6 x 99 mm" in finding.message
    assert "sides-differ-in-size" not in said([page(1, Side.FRONT, 1), page(1, Side.BACK, 4)], small)


def test_noise_is_compared_as_seen_from_afar(sides, said, small):
    noise = np.random.default_rng(1).integers(0, 255, (720, 528, 3), dtype=np.uint8)
    other = np.random.default_rng(2).integers(0, 255, (720, 528, 3), dtype=np.uint8)
    found = said(sides(Image.fromarray(noise), Image.fromarray(other)), small)
    assert "back-is-front" not in found


@pytest.fixture
def faces(art_of, card):
    """A front and a back of so many pixels, or of so many mm."""

    def make(front, back, *, mm=False):
        arts = [art_of(*size, mm=mm, side=side) for size, side in zip((front, back), Side, strict=True)]
        return [CardFace(art=art, fit=fit_art(art, card(shape_mismatch="crop"))[0]) for art in arts]

    return make


@pytest.mark.parametrize(("back", "differ"), [((1000, 1400), False), ((1005, 1400), False), ((1006, 1400), True)])
def test_shapes_more_than_half_a_percent_apart_are_warned_of(faces, card, back, differ):
    found = list(same_shape(*faces((1000, 1400), back), card()))
    assert [(one.code, one.level) for one in found] == [("sides-differ", Level.WARN)] * differ


def test_shapes_that_differ_are_told_with_both(faces, card):
    (finding,) = same_shape(*faces((1000, 1400), (1050, 1450)), card())
    assert "(1000 x 1400 px, shape 1 : 1.4) and x.png (1050 x 1450 px, shape 1 : 1.381)" in finding.message


@pytest.mark.parametrize(("width", "differ"), [(1250, False), (1255, True), (796, True), (800, False)])
def test_pictures_of_two_resolutions_are_noted_from_a_quarter_more_on(faces, card, width, differ):
    """1000 x 1400 px on 5 x 7 in are 200 ppi, 1255 x 1757 are 251."""
    found = list(same_size(*faces((1000, 1400), (width, width * 7 // 5)), card()))
    assert [one.level for one in found] == [Level.NOTE] * differ
    assert all("differ in resolution: 200 and" in one.message for one in found)


def test_pages_half_a_percent_apart_are_of_one_size(faces, card):
    one, other = (100, 140), (100.5, 140.7)
    assert list(same_size(*faces(one, other, mm=True), card())) == []
    (finding,) = same_size(*faces(one, (100.6, 140.84), mm=True), card())
    assert finding.message.endswith("differ in size.")


def test_sides_of_two_shapes_are_not_told_again_by_size(faces, card):
    assert list(same_size(*faces((1000, 1400), (2000, 1400)), card())) == []
