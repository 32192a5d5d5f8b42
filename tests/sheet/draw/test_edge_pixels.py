import io
import zlib

import numpy as np
import pytest
from PIL import Image, ImageOps

from watcher.sheet.draw.bleed import End
from watcher.sheet.draw.edge_pixels import edge_images

CORNERS = {
    (End.LOW, End.HIGH): (0, 0),
    (End.HIGH, End.HIGH): (0, -1),
    (End.LOW, End.LOW): (-1, 0),
    (End.HIGH, End.LOW): (-1, -1),
}
SIDES = [(End.WITHIN, End.HIGH), (End.WITHIN, End.LOW), (End.LOW, End.WITHIN), (End.HIGH, End.WITHIN)]


def samples(stream) -> np.ndarray:
    """The samples of an image whose every row is less the one above it."""
    rows = np.frombuffer(zlib.decompress(stream.data), np.uint8).reshape(stream.height_px, -1)[:, 1:]
    whole = np.cumsum(rows, axis=0, dtype=np.uint8)
    return whole.reshape(stream.height_px, stream.width_px, stream.colours)


def edges_of(art) -> dict:
    return {end: samples(image) for end, image in edge_images(art.content, [*CORNERS, *SIDES]).items()}


def expect(edges: dict, upright: np.ndarray) -> None:
    upright = upright if upright.ndim == 3 else upright[:, :, np.newaxis]
    for end, (row, column) in CORNERS.items():
        assert np.array_equal(edges[end], upright[row, column].reshape(1, 1, -1))
    top, bottom, left, right = (edges[side] for side in SIDES)
    assert np.array_equal(top[0], upright[0])
    assert np.array_equal(bottom[0], upright[-1])
    assert np.array_equal(left[:, 0], upright[:, 0])
    assert np.array_equal(right[:, 0], upright[:, -1])


@pytest.mark.parametrize(
    ("mode", "format", "kind"),
    [(mode, "PNG", "png") for mode in ("RGB", "L", "1", "P")]
    + [(mode, "TIFF", "tif") for mode in ("RGB", "L", "1", "CMYK")],
)
def test_edges_are_the_outermost_pixels(colours, saved, opened, mode, format, kind):
    image = Image.fromarray(colours())
    image = image.quantize(40) if mode == "P" else image.convert(mode)
    expect(edges_of(opened(saved(image, format), kind)), np.asarray(image.convert("L") if mode == "1" else image))


@pytest.mark.parametrize("mode", ["RGB", "L", "CMYK"])
def test_edges_of_a_jpeg_are_those_that_it_decodes_to(colours, saved, opened, mode):
    data = saved(Image.fromarray(colours()).convert(mode), "JPEG")
    expect(edges_of(opened(data, "jpg")), np.asarray(Image.open(io.BytesIO(data))))


def test_edges_of_deep_grey_keep_the_upper_eight_bits(saved, opened):
    ramp = (np.arange(300, dtype=np.uint16) * 200).reshape(15, 20)
    expect(edges_of(opened(saved(Image.fromarray(ramp)))), (ramp >> 8).astype(np.uint8))


def test_a_palette_and_a_profile_go_along(colours, saved, opened):
    art = opened(saved(Image.fromarray(colours()).quantize(16)))
    (edge,) = edge_images(art.content, [(End.LOW, End.LOW)]).values()
    assert edge.palette == art.content.stream.palette


@pytest.mark.parametrize("orientation", range(1, 9))
def test_edges_are_those_of_the_upright_picture(colours, saved, opened, orientation):
    """Against Pillow's own way to bring a picture upright."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    image = Image.fromarray(colours())
    image.getexif()[0x0112] = orientation
    expect(edges_of(opened(saved(colours(), exif=exif))), np.asarray(ImageOps.exif_transpose(image)))
