import numpy as np
import pytest
from PIL import Image, ImageDraw

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
