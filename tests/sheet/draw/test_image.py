from fractions import Fraction

import numpy as np
import pikepdf
import pytest
from PIL import Image, ImageCms

from watcher.layout.geometry import Size
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.units import points_to_mm

TRIM = Size(points_to_mm(Fraction(60)), points_to_mm(Fraction(84)))


@pytest.fixture
def sheet(one_place, planned, face_of, opened):
    """A sheet of one card of 60 x 84 points at (10, 10) mm with this art."""

    def make(data, kind="png"):
        face = face_of(opened(data, kind), TRIM)
        return draw_sheets(planned(one_place(TRIM), face))[0].pdf

    return make


def images_in(document) -> list:
    return [
        found for found in document.objects if isinstance(found, pikepdf.Stream) and found.get("/Subtype") == "/Image"
    ]


@pytest.mark.parametrize("mode", ["RGB", "L", "1", "P"])
def test_an_extracted_png_equals_the_art_bit_for_bit(colours, saved, sheet, pdf, mode):
    """Extracted by pikepdf, from the one image in the file."""
    image = Image.fromarray(colours()).convert(mode)
    (found,) = images_in(pdf(sheet(saved(image))))
    extracted = pikepdf.PdfImage(found).as_pil_image()
    assert np.array_equal(np.asarray(extracted.convert("RGB")), np.asarray(image.convert("RGB")))


def test_jpeg_bytes_lie_in_the_file_as_they_came(colours, saved, sheet, pdf):
    data = saved(colours(), "JPEG", quality=80)
    (found,) = images_in(pdf(sheet(data, "jpg")))
    assert found.read_raw_bytes() == data


def region(page: np.ndarray) -> np.ndarray:
    """The card of `sheet` on the page at 72 ppi: 60 x 84 px, 10 mm from the left and from below."""
    left = round(10 / 25.4 * 72)
    return page[page.shape[0] - left - 84 : page.shape[0] - left, left : left + 60]


def test_a_cmyk_jpeg_shows_its_colours_not_their_negative(saved, sheet, render):
    """Pdfium against Pillow's own conversion; flat fields, since the two mix inks a little differently."""
    inks = np.zeros((84, 60, 4), np.uint8)
    inks[:42, :, 0], inks[42:, :, 2] = 255, 255  # cyan above, yellow below
    data = saved(Image.frombytes("CMYK", (60, 84), inks.tobytes()), "JPEG")
    shown = region(render(sheet(data, "jpg"), ppi=72)).astype(int)
    red, green, blue = shown[20, 30]
    assert blue > red + 100  # cyan
    red, green, blue = shown[64, 30]
    assert min(red, green) > blue + 100  # yellow


def test_cmyk_pixels_of_a_tiff_show_the_same_as_those_of_a_jpeg(saved, sheet, render):
    image = Image.new("CMYK", (60, 84), (200, 30, 60, 20))
    shown = [
        region(render(sheet(saved(image, "TIFF"), "tif"), ppi=72)).astype(int),
        region(render(sheet(saved(image, "JPEG", quality=95), "jpg"), ppi=72)).astype(int),
    ]
    assert np.abs(shown[0][5:-5, 5:-5] - shown[1][5:-5, 5:-5]).max() <= 6


def test_sixteen_bit_grey_shows_its_upper_eight_bits(saved, sheet, render):
    ramp = np.tile(np.linspace(0, 65535, 60).astype(np.uint16), (84, 1))
    shown = region(render(sheet(saved(Image.fromarray(ramp))), ppi=72))[40, 2:-2, 0].astype(int)
    assert np.abs(shown - (ramp[0, 2:-2] >> 8)).max() <= 6


def test_a_profile_is_embedded_as_the_images_colour_space(colours, saved, sheet, pdf):
    icc = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    (found,) = images_in(pdf(sheet(saved(Image.fromarray(colours()), icc_profile=icc))))
    kind, profile = found.ColorSpace
    assert (kind, profile.N, profile.read_bytes()) == ("/ICCBased", 3, icc)


def test_a_profile_is_embedded_under_a_palette_too(colours, saved, sheet, pdf):
    icc = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    (found,) = images_in(pdf(sheet(saved(Image.fromarray(colours()).quantize(16), icc_profile=icc))))
    assert found.ColorSpace[0] == "/Indexed"
    assert found.ColorSpace[1][0] == "/ICCBased"
