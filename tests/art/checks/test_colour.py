import numpy as np
import pytest
from PIL import Image

from watcher.art.formats.profile import SRGB
from watcher.settings.printer import PrinterSettings
from watcher.terms import Level

SIZE = (264, 360)  # 60 x 84 mm with 3 mm of bleed at 4 px a millimetre


@pytest.fixture
def drawn(picture):
    """A picture for the small card, of any mode."""
    return lambda mode="RGB": picture(*SIZE, mode)


def inked(*inks) -> Image.Image:
    """A CMYK picture of white paper with a patch of an eighth of it in these percents of ink."""
    pixels = np.zeros((SIZE[1], SIZE[0], 4), np.uint8)
    pixels[90:270, 100:166] = [round(ink * 2.55) for ink in inks]
    return Image.fromarray(pixels, "CMYK")


def swapped_profile() -> bytes:
    """A profile with red and green exchanged: sound, and certainly not sRGB."""
    return SRGB.replace(b"rXYZ", b"????").replace(b"gXYZ", b"rXYZ").replace(b"????", b"gXYZ")


def test_see_through_art_is_noted_with_how_much_of_it(drawn, saved, opened, said, small):
    image = drawn("RGBA")
    image.putalpha(Image.new("L", image.size, 255))
    image.paste((0, 0, 0, 0), (0, 0, 66, 360))
    finding = said(opened(saved(image)), small)["transparency-flattened"]
    assert finding.level is Level.NOTE
    assert "(25 % of it)" in finding.message


def test_opaque_alpha_is_not_worth_a_word(drawn, saved, opened, said, small):
    assert said(opened(saved(drawn("RGBA"))), small).keys() == set()


@pytest.mark.parametrize(("format", "kind"), [("TIFF", "tif"), ("JPEG", "jpg")])
def test_cmyk_art_is_warned_of(drawn, saved, opened, said, small, format, kind):
    finding = said(opened(saved(drawn("CMYK"), format), kind), small)["colours-not-rgb"]
    assert finding.level is Level.WARN
    assert "CMYK" in finding.message


def test_cmyk_art_is_only_noted_for_a_printer_with_a_profile(drawn, saved, opened, said, small):
    press = PrinterSettings(name="press", output_profile="press.icc")
    assert said(opened(saved(drawn("CMYK"), "TIFF"), "tif"), small, press)["colours-not-rgb"].level is Level.NOTE


@pytest.mark.parametrize("mode", ["RGB", "L", "P", "1", "I;16"])
def test_rgb_and_grey_are_fine(drawn, saved, opened, said, small, mode):
    assert not {"colours-not-rgb", "profile-not-srgb"} & said(opened(saved(drawn(mode))), small).keys()


def test_a_profile_that_is_not_srgb_is_named(drawn, saved, opened, said, small):
    finding = said(opened(saved(drawn(), icc_profile=swapped_profile())), small)["profile-not-srgb"]
    assert finding.level is Level.WARN
    assert "sRGB IEC61966-2.1" in finding.message  # what the profile calls itself


def test_srgb_is_fine(drawn, saved, opened, said, small):
    assert said(opened(saved(drawn(), icc_profile=SRGB)), small).keys() == set()


@pytest.mark.parametrize(
    ("inks", "limit", "most"),
    [
        ((80, 80, 80, 80), "300 %", "320 %"),
        ((60, 40, 40, 100), "200 %", "240 %"),
        ((83, 72, 45, 100), "240 %", "300 %"),
    ],
)
def test_too_much_ink_is_told_with_both_numbers(saved, opened, said, small, inks, limit, most):
    """60 40 40 100 is a usual rich black (Lightning Source's help); 83 72 45 100 is sRGB black in FOGRA39 (by lcms)."""
    printer = PrinterSettings(name="press", ink_limit=limit)
    finding = said(opened(saved(inked(*inks), "TIFF"), "tif"), small, printer)["too-much-ink"]
    assert finding.level is Level.WARN
    for words in (f"up to {most}", f"{limit} is the limit", "12.5 %"):
        assert words in finding.message


def test_ink_within_the_limit_is_fine(saved, opened, said, small):
    assert "too-much-ink" not in said(opened(saved(inked(80, 70, 50, 99), "TIFF"), "tif"), small)


def test_ink_of_just_the_limit_is_fine(pdf_of, opened, said, small):
    """1 1 1 0 are 300 %, which is what SWOP allows (quoted on groups.io, list colortheory)."""
    page = opened(pdf_of(187, 255, content=b"1 1 1 0 k 20 20 60 60 re f"), "pdf")
    assert "too-much-ink" not in said(page, small, PrinterSettings(name="press", ink_limit="300 %"))


@pytest.mark.parametrize(("trim", "is_told"), [(None, True), ([9, 9, 178, 246], False)])
def test_full_ink_beside_a_stated_trim_is_taken_for_crop_marks(pdf_of, opened, said, small, trim, is_told):
    """Registration colour, all four inks at 100 %, is what marks outside the trim are drawn with (common practice)."""
    boxes = {"TrimBox": trim} if trim else {}
    page = opened(pdf_of(187, 255, content=b"1 1 1 1 K 0 9 m 6 9 l S", **boxes), "pdf")
    assert ("too-much-ink" in said(page, small)) is is_told


def test_tiny_spots_of_full_ink_are_fine(saved, opened, said, small):
    pixels = np.zeros((SIZE[1], SIZE[0], 4), np.uint8)
    pixels[100:104, 100:110] = 255
    assert "too-much-ink" not in said(opened(saved(Image.fromarray(pixels, "CMYK"), "TIFF"), "tif"), small)


def test_a_headline_in_too_much_ink_is_told(saved, opened, said, small):
    """One hundredth of the card is no tiny area; SWOP allows more ink in those alone (groups.io, list colortheory)."""
    pixels = np.zeros((SIZE[1], SIZE[0], 4), np.uint8)
    pixels[100 : 100 + SIZE[1] // 10, 50 : 50 + SIZE[0] // 10] = 255
    finding = said(opened(saved(Image.fromarray(pixels, "CMYK"), "TIFF"), "tif"), small)["too-much-ink"]
    assert "up to 400 % of ink on 1.0 %" in finding.message


def test_a_cmyk_jpeg_is_measured_the_right_way_round(saved, opened, said, small):
    """Four colours are stored upside down in a JPEG (tried with Pillow 13): light art has little ink."""
    assert "too-much-ink" not in said(opened(saved(inked(0, 0, 0, 20), "JPEG"), "jpg"), small)
    assert "too-much-ink" in said(opened(saved(inked(90, 90, 90, 90), "JPEG"), "jpg"), small)


def test_the_colours_of_a_page_are_looked_at_too(pdf_of, opened, said, small):
    page = opened(pdf_of(187, 255, content=b"0.9 0.9 0.9 0.8 k 20 20 60 60 re f"), "pdf")
    found = said(page, small)
    assert found["colours-not-rgb"].level is Level.WARN
    assert "350 %" in found["too-much-ink"].message
    grey = opened(pdf_of(187, 255, content=b"0.3 g 20 20 60 60 re f 1 0 0 RG 0 0 m 9 9 l S"), "pdf")
    assert not {"colours-not-rgb", "too-much-ink"} & said(grey, small).keys()
