"""Pictures in the inks of a press, against littleCMS asked directly and against its published results.

The profile of most tests is built in tests/conftest.py. The figures for FOGRA39L_coated.icc are those of littleCMS 2.19
from sRGB: black with black point compensation; grey, red and white without, which hardly moves them (it does move full
green and blue, by 3, so they are left out). That profile is in the Debian package texlive-base 2022.20230122-3 and on
CTAN (colorprofiles; zlib licence), SHA-256 b35713ef7eff0934... Put it into `.corpora`, or name its folder in
PRINT_FOLDER_CORPORA; where it is missing that test is skipped.
"""

import hashlib
import io
import os
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from watcher.art.colour import made_for_press
from watcher.art.model import CardFace
from watcher.art.prepare import prepare_face
from watcher.art.stored_pixels import stored_picture
from watcher.errors import OrderHeld
from watcher.settings.card import CardSettings
from watcher.settings.press_profile import Inks, PressProfile
from watcher.settings.printer import PrinterSettings
from watcher.terms import Level

FOLDER = Path(os.environ.get("PRINT_FOLDER_CORPORA", Path(__file__).parents[2] / ".corpora"))
FOGRA39 = FOLDER / "FOGRA39L_coated.icc"
FOGRA39_SHA256 = "b35713ef7eff0934"  # how it begins
CARD = CardSettings(name="c", trim="85 x 55 mm", sheet="s", warn_ppi=10, hold_ppi=5)
PRINTER = PrinterSettings(name="press", convert=True, ink_limit=Fraction(300))


@pytest.fixture
def press(press_icc) -> PressProfile:
    return PressProfile(data=press_icc, inks=Inks.CMYK)


@pytest.fixture
def face(saved, opened):
    """A face with a picture on it."""

    def make(picture: Image.Image, **options) -> CardFace:
        return prepare_face(opened(saved(picture, **options)), CARD)[0]

    return make


def patches(*colours, mode="RGB") -> Image.Image:
    """85 x 55 px in stripes of so many colours."""
    picture = Image.new(mode, (85, 55))
    for number, colour in enumerate(colours):
        picture.paste(colour, (number * 85 // len(colours), 0, 85, 55))
    return picture


def inks_of(faces: tuple[CardFace, ...], count: int) -> list[list[float]]:
    """The inks in the middle of each stripe, percent."""
    pixels = np.asarray(stored_picture(faces[0].art.content.stream))
    return [[round(value / 2.55, 1) for value in pixels[27, (2 * n + 1) * 85 // (2 * count)]] for n in range(count)]


def test_pictures_become_what_littlecms_makes_of_them(face, press):
    colours = [(250, 120, 30), (0, 0, 0), (255, 255, 255), (20, 90, 200)]
    faces, _ = made_for_press((face(patches(*colours)),), press, PRINTER)
    change = ImageCms.buildTransform(
        ImageCms.createProfile("sRGB"), ImageCms.ImageCmsProfile(io.BytesIO(press.data)), "RGB", "CMYK",
        ImageCms.Intent.RELATIVE_COLORIMETRIC, ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )  # fmt: skip
    asked = [ImageCms.applyTransform(Image.new("RGB", (1, 1), colour), change).getpixel((0, 0)) for colour in colours]
    for found, wanted in zip(inks_of(faces, 4), asked, strict=True):
        assert np.abs(np.array(found) * 2.55 - wanted).max() <= 2


def test_white_stays_bare_paper(face, press):
    faces, _ = made_for_press((face(patches((255, 255, 255), (250, 0, 0))),), press, PRINTER)
    assert inks_of(faces, 2)[0] == [0, 0, 0, 0]


def test_grey_pictures_and_the_presss_own_cmyk_pass_unchanged(face, press):
    for picture, form, options in (
        (patches(30, 200, mode="L"), "PNG", {}),
        (patches((20, 60, 0, 10), (0, 0, 200, 0), mode="CMYK"), "TIFF", {}),
        (patches((20, 60, 0, 10), mode="CMYK"), "TIFF", {"icc_profile": press.data}),
    ):
        before = face(picture, format=form, **options)
        (after,), said = made_for_press((before,), press, PRINTER)
        assert after.art.content.stream.data == before.art.content.stream.data
        assert after.art.content.stream.icc is None
        assert [finding for finding in said if finding.code == "too-much-ink"] == []


def test_a_pdf_page_stays_as_it_is_and_this_is_said(opened, press, pdf_of):
    before = prepare_face(opened(pdf_of(241, 156), "pdf", shown="menu.pdf"), CARD)[0]
    (after,), (said,) = made_for_press((before,), press, PRINTER)
    assert (after, said.code, said.level) == (before, "pdf-not-converted", Level.NOTE)
    assert "menu.pdf is a PDF: its colours are left as they are" in said.message


def test_without_convert_nothing_is_changed(face, press):
    before = face(patches((250, 120, 30)))
    printer = PRINTER.model_copy(update={"convert": False})
    assert made_for_press((before,), press, printer) == ((before,), ())


@pytest.mark.parametrize(("limit", "count"), [(390, 0), (360, 1)])
def test_total_ink_is_checked_against_the_limit(face, press, limit, count):
    """Black is 100 100 100 80 on the press of these tests, 379 % once rounded to levels; it fills 42 of 85 columns."""
    printer = PRINTER.model_copy(update={"ink_limit": Fraction(limit)})
    _, said = made_for_press((face(patches((0, 0, 0), (255, 255, 255))),), press, printer)
    assert [(finding.code, finding.level) for finding in said] == [("too-much-ink", Level.WARN)] * count
    if count:
        assert "379 % of ink" in said[0].message
        assert "360 % is the limit" in said[0].message
        assert "49.4 % of its area" in said[0].message


def test_a_tiny_spot_of_full_ink_is_no_matter(face, press):
    """SWOP allows 325 % in tiny areas where 300 % is the limit (quoted on groups.io, list colortheory)."""
    picture = Image.new("RGB", (850, 550), (255, 240, 200))
    picture.paste((0, 0, 0), (400, 300, 415, 315))
    _, said = made_for_press((face(picture),), press, PRINTER)
    assert said == ()


def test_cmyk_for_a_press_in_rgb_is_refused(face):
    """The colours of a file need a meaning: a press in RGB has none for CMYK without a profile."""
    rgb = PressProfile(data=b"", inks=Inks.RGB)
    printer = PRINTER.model_copy(update={"convert": False})
    _, said = made_for_press((face(patches((20, 60, 0, 10), mode="CMYK"), format="TIFF"),), rgb, printer)
    assert [(finding.code, finding.level) for finding in said] == [("press-needs-rgb", Level.REFUSE)]


def test_a_profile_that_littlecms_cannot_use_holds_the_order(face):
    broken = PressProfile(data=b"\0" * 400, inks=Inks.CMYK)
    with pytest.raises(OrderHeld, match="output_profile"):
        made_for_press((face(patches((1, 2, 3))),), broken, PRINTER)


@pytest.mark.skipif(not FOGRA39.is_file(), reason="needs FOGRA39L_coated.icc in .corpora")
def test_the_figures_of_fogra39(face):
    data = FOGRA39.read_bytes()
    assert hashlib.sha256(data).hexdigest().startswith(FOGRA39_SHA256)
    published = {
        (0, 0, 0): (85, 79, 54, 98),
        (255, 0, 0): (0, 95, 100, 0),
        (128, 128, 128): (51, 42, 42, 18),
        (255, 255, 255): (0, 0, 0, 0),
    }
    press = PressProfile(data=data, inks=Inks.CMYK)
    faces, said = made_for_press((face(patches(*published)),), press, PRINTER)
    for found, wanted in zip(inks_of(faces, 4), published.values(), strict=True):
        assert np.abs(np.array(found) - wanted).max() <= 2, wanted
    assert "316 %" in said[0].message or "315 %" in said[0].message
