"""The size a picture says it has. PNG pHYs: 300 ppi are 11811 px/m, 72 are 2835 (by hand; ISO/IEC 15948 11.3.5.3)."""

from fractions import Fraction

import numpy as np
import pytest
from PIL import Image, ImageOps

from watcher.art.formats.density import size_said, upright_as, upright_of
from watcher.layout.geometry import Size
from watcher.terms import Turn


def mm(size) -> tuple[float, float] | None:
    return (round(float(size.width), 2), round(float(size.height), 2)) if size else None


@pytest.mark.parametrize(
    ("format", "kind", "ppi", "said"),
    [
        ("PNG", "png", 300, (101.6, 50.8)),
        ("PNG", "png", 72, (423.28, 211.64)),
        ("JPEG", "jpg", 300, (101.6, 50.8)),
        ("TIFF", "tif", 300, (101.6, 50.8)),
        ("PNG", "png", 71, None),
        ("PNG", "png", 2500, None),
    ],
)
def test_a_density_gives_a_size_where_it_can_be_believed(saved, opened, format, kind, ppi, said):
    art = opened(saved(Image.new("RGB", (1200, 600), "red"), format, dpi=(ppi, ppi)), kind)
    found = mm(art.real_size)
    assert found == pytest.approx(said, abs=0.02) if said else found is None


def test_without_a_density_there_is_no_size(saved, opened):
    for format, kind in (("PNG", "png"), ("JPEG", "jpg"), ("WEBP", "webp")):
        assert opened(saved(Image.new("RGB", (40, 20)), format), kind).real_size is None


def test_axes_that_differ_are_not_believed(saved, opened):
    for upwards in (150, 290, 310):
        assert opened(saved(Image.new("RGB", (40, 20)), dpi=(300, upwards))).real_size is None
    assert opened(saved(Image.new("RGB", (40, 20)), dpi=(300, 302))).real_size is not None


def test_a_phys_without_a_unit_is_a_shape_and_no_size(png_of, opened):
    phys = [(b"pHYs", (11811).to_bytes(4) * 2 + b"\0")]
    assert opened(png_of(2, 2, 8, 0, b"\0\1\2" * 2, extra=phys)).real_size is None
    phys = [(b"pHYs", (11811).to_bytes(4) * 2 + b"\1")]
    assert opened(png_of(2, 2, 8, 0, b"\0\1\2" * 2, extra=phys)).real_size is not None


@pytest.mark.parametrize(("unit", "value", "ppi"), [(2, 300, 300), (3, 100, 254)])
def test_exif_tells_where_the_format_does_not(saved, opened, unit, value, ppi):
    """EXIF 2.3: 0x011A, 0x011B, unit 2 for inches, 3 for centimetres."""
    exif = Image.Exif()
    exif[0x011A], exif[0x011B], exif[0x0128] = value, value, unit
    art = opened(saved(Image.new("RGB", (300, 300)), "WEBP", exif=exif), "webp")
    assert float(art.real_size.width) == pytest.approx(300 / ppi * 25.4)


@pytest.mark.parametrize("density", [(0, 0), (float("nan"), 300), (float("inf"), 300), ("x", "y"), (300,), None])
def test_odd_densities_are_no_size(density):
    assert size_said(Size(Fraction(10), Fraction(10)), density) is None


def test_a_turned_picture_has_a_turned_size(saved, opened):
    exif = Image.Exif()
    exif[0x0112] = 6
    art = opened(saved(Image.new("RGB", (1200, 600), "red"), dpi=(300, 300), exif=exif))
    assert mm(art.real_size) == (50.8, 101.6)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_each_orientation_is_brought_upright_as_pillow_does_it(picture, orientation):
    """Mirrored left to right, then turned counter-clockwise; EXIF 2.3, tag 0x0112."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    mirrored, turn = upright_of(exif.tobytes())
    stored = picture()
    stored.info["exif"] = exif.tobytes()
    pixels = np.asarray(stored)[:, ::-1] if mirrored else np.asarray(stored)
    upright = ImageOps.exif_transpose(stored)
    assert np.array_equal(np.rot90(pixels, turn.value // 90), np.asarray(upright))
    assert upright_as(orientation) == (mirrored, turn)


@pytest.mark.parametrize("exif", [b"", b"Exif\0\0garbage", b"Exif\0\0MM\0*"])
def test_an_exif_block_that_says_nothing_leaves_the_pixels_as_they_are(exif):
    assert upright_of(exif) == upright_as(0) == upright_as(9) == (False, Turn.NONE)


@pytest.mark.parametrize(
    ("across", "upwards", "is_believed"),
    [
        ("71.5", "71.5", True),
        ("71.4", "71.5", False),
        (2400, 2400, True),
        (2400, 2401, False),
        (300, 303, True),
        (300, "303.1", False),
        (303, 300, True),
    ],
)
def test_densities_are_believed_within_limits_and_one_percent_of_each_other(across, upwards, is_believed):
    said = size_said(Size(Fraction(600), Fraction(600)), (Fraction(across), Fraction(upwards)))
    assert (said is not None) is is_believed
    assert said is None or said.width == 600 / Fraction(across) * Fraction("25.4")
