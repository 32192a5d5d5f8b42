"""What a file for a press says of its press and of itself."""

import pytest
from pypdf import PdfWriter
from pypdf.generic import DecodedStreamObject, NameObject, NumberObject

from watcher.art.formats.profile import SRGB
from watcher.settings.press_profile import Inks, PressProfile
from watcher.sheet.draw.pdfx import Press, add_pdfx, condition_of, shown_title


@pytest.mark.parametrize(
    ("name", "condition"),
    [("Coated FOGRA39 (ISO 12647-2:2004)", "FOGRA39"), ("Our own press, 2024", "Custom"), ("", "Custom")],
)
def test_a_registered_condition_is_found_in_the_name_of_the_profile(name, condition):
    assert condition_of(name) == condition


@pytest.mark.parametrize(
    ("title", "shown"),
    [("menu & drinks", "menu & drinks"), ("menu\x00\x07", "menu"), ("\x00", "sheets"), ("", "sheets")],
)
def test_a_title_has_no_sign_that_xml_could_not_hold(title, shown):
    assert shown_title(title) == shown


def _grey_image():
    image = DecodedStreamObject()
    image.set_data(b"\x80")
    names = {"/Type": "/XObject", "/Subtype": "/Image", "/ColorSpace": "/DeviceGray"}
    image.update({NameObject(key): NameObject(value) for key, value in names.items()})
    sizes = {"/Width": 1, "/Height": 1, "/BitsPerComponent": 8}
    image.update({NameObject(key): NumberObject(value) for key, value in sizes.items()})
    return image


@pytest.mark.parametrize(("inks", "grey"), [(Inks.RGB, "/CalGray"), (Inks.CMYK, "/DeviceGray")])
def test_a_soft_mask_stays_device_grey_whatever_grey_beside_it_becomes(press_icc, inks, grey):
    """A mask by ISO 32000-1 11.6.5.3 (table 145); grey beside it where the press has a black ink (PDF/X-4)."""
    writer = PdfWriter()
    image, mask = _grey_image(), _grey_image()
    image[NameObject("/SMask")] = writer._add_object(mask)
    writer._add_object(image)
    profile = PressProfile(data=SRGB if inks is Inks.RGB else press_icc, inks=inks)
    add_pdfx(writer, Press(profile=profile, title="menu", date="2026-05-01"), bytes(16), {})
    space = image["/ColorSpace"]
    assert (str(space if inks is Inks.CMYK else space[0]), mask["/ColorSpace"]) == (grey, "/DeviceGray")
