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


def test_a_soft_mask_stays_device_grey_beside_grey_that_gets_a_meaning():
    """ISO 32000-1 11.6.5.3 (table 145): the colour space of a soft-mask image is DeviceGray, and no other."""
    writer = PdfWriter()
    image, mask = _grey_image(), _grey_image()
    image[NameObject("/SMask")] = writer._add_object(mask)
    writer._add_object(image)
    press = Press(profile=PressProfile(data=SRGB, inks=Inks.RGB), title="menu", date="2026-05-01")
    add_pdfx(writer, press, bytes(16), {})
    assert (image["/ColorSpace"][0], mask["/ColorSpace"]) == ("/CalGray", "/DeviceGray")
