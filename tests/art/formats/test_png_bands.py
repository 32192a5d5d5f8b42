"""A PNG read in bands gives what it gives when it is read whole by Pillow."""

import zlib

import numpy as np
import pytest
from PIL import Image

from watcher.art.encode import RowPacker, encode_rows
from watcher.art.formats import png_bands
from watcher.art.thumbnail import Reducer, make_thumbnail
from watcher.terms import Turn


@pytest.fixture(autouse=True)
def narrow_bands(monkeypatch):
    """A few rows at a time, so that small pictures have many seams."""
    monkeypatch.setattr(png_bands, "_BAND_BYTES", 300)


def noise(size: tuple[int, int], colours: int) -> np.ndarray:
    return np.random.default_rng(1).integers(0, 256, (size[1], size[0], colours), np.uint8)


@pytest.mark.parametrize("mode", ["RGB", "L", "P"])
def test_the_small_picture_is_that_of_the_whole(opened, saved, mode):
    """Oracle: Pillow's own reader and its `reduce` over the whole picture."""
    image = Image.fromarray(noise((53, 1607), 3)).convert(mode)
    assert np.array_equal(opened(saved(image)).thumbnail.picture, make_thumbnail(image).picture)


@pytest.mark.parametrize("mode", ["RGBA", "LA"])
def test_opaque_alpha_keeps_every_pixel_across_bands(opened, saved, pixels, mode):
    image = Image.fromarray(noise((31, 200), 3)).convert(mode.removesuffix("A"))
    opaque = image.copy()
    opaque.putalpha(255)
    assert np.array_equal(pixels(opened(saved(opaque)).content.stream).squeeze(), np.asarray(image))


def test_see_through_parts_are_measured_over_all_bands(opened, saved):
    image = Image.new("RGBA", (20, 200), (0, 0, 0, 255))
    image.paste((0, 0, 0, 0), (0, 150, 20, 200))
    art = opened(saved(image))
    assert art.thumbnail.clear == pytest.approx(0.25)
    assert art.thumbnail.picture[-1].min() == 255


@pytest.mark.parametrize("rows", [1, 7, 40])
def test_rows_packed_in_bands_are_the_rows_packed_at_once(rows):
    """Unpacked by zlib, another library than the one that packs."""
    pixels = noise((20, 40), 3)
    packer = RowPacker()
    for at in range(0, 40, rows):
        packer.add(pixels[at : at + rows])
    assert zlib.decompress(packer.stream(20).data) == zlib.decompress(encode_rows(pixels).data)


def test_a_turned_picture_in_bands_comes_upright():
    image = Image.fromarray(noise((40, 30), 3))
    reducer = Reducer(image.size)
    for top in (0, 10, 20):
        reducer.add(image.crop((0, top, 40, top + 10)))
    whole = make_thumbnail(image, turn=Turn.LEFT, mirrored=True)
    assert np.array_equal(reducer.thumbnail(turn=Turn.LEFT, mirrored=True, clear=0).picture, whole.picture)
