"""Pixels in the sheet against the art itself and against img2pdf, a library of its own for lossless embedding."""

import io
from fractions import Fraction

import img2pdf
import numpy as np
import pikepdf
import pytest
from PIL import Image

from watcher.art.decode import open_art
from watcher.art.fit import fit_art
from watcher.art.model import CardFace
from watcher.layout.geometry import Box, Size
from watcher.layout.model import Face, Layout, Place
from watcher.settings.card import CardSettings
from watcher.sheet.draw.plan import CardDesign, SheetForm, SheetPlan
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Copies, Duplex, Side, Turn

TRIM = Size(Fraction(50), Fraction(70))


def picture(mode: str) -> Image.Image:
    """Noise over a ramp: nothing that a lossy step or a wrong row filter would leave as it is."""
    noise = np.random.default_rng(7).integers(0, 60, (140, 100, 3))
    rows, columns = np.mgrid[0:140, 0:100]
    ramp = np.stack([columns, rows, columns + rows], -1)
    image = Image.fromarray((noise + ramp % 190).astype(np.uint8))
    if mode == "I;16":
        return Image.fromarray((rows * 400 + columns * 3).astype(np.uint16))
    return image.quantize(200) if mode == "P" else image.convert(mode)


def saved(image: Image.Image, format: str, **options) -> bytes:
    finished = io.BytesIO()
    image.save(finished, format, **options)
    return finished.getvalue()


def sheet_with(data: bytes, kind: str) -> bytes:
    """A sheet that shows the art on four cards."""
    card = CardSettings(name="c", trim=TRIM, sheet="s", hold_ppi=1, warn_ppi=1)
    art = open_art(Side.FRONT, f"x.{kind}", "0" * 64, data, kind, None)
    boxes = [Box.at(Fraction(x), Fraction(y), TRIM) for y in (80, 5) for x in (5, 60)]
    places = tuple(
        Place(number=number, front=Face(trim=box, bleed_box=box, turn=Turn.NONE), back=None)
        for number, box in enumerate(boxes, start=1)
    )
    sheet = Size(Fraction(120), Fraction(160))
    layout = Layout(
        sheet=sheet, trim=TRIM, bleed=Fraction(0), places=places, printable=Box.at(Fraction(0), Fraction(0), sheet),
        flip=None, cut_lines=6, mixed=False,
    )  # fmt: skip
    face = CardFace(art=art, fit=fit_art(art, card)[0])
    form = SheetForm(designs=(CardDesign(front=face),) * layout.up, sheets=1)
    plan = SheetPlan(layout=layout, marks=(), forms=(form,), copies=Copies.ONCE, duplex=Duplex.AUTOMATIC)
    return draw_sheets(plan)[0].pdf


@pytest.fixture
def only_image():
    """The one image in a PDF, found by pikepdf."""
    kept = []

    def find(data: bytes) -> pikepdf.PdfImage:
        kept.append(pikepdf.open(io.BytesIO(data)))
        (found,) = [each for each in kept[-1].objects if isinstance(each, pikepdf.Stream) and "/Width" in each]
        return pikepdf.PdfImage(found)

    yield find
    for document in kept:
        document.close()


@pytest.fixture
def pixels_of(only_image):
    """The pixels of that image, a palette looked up."""

    def pixels(data: bytes) -> np.ndarray:
        image = only_image(data).as_pil_image()
        return np.asarray(image.convert("RGB") if image.mode == "P" else image)

    return pixels


@pytest.mark.parametrize("mode", ["RGB", "L", "P", "1"])
def test_a_png_in_the_sheet_equals_the_art_and_img2pdfs_embedding(pixels_of, mode):
    """Extracted by pikepdf from both files."""
    image = picture(mode)
    data = saved(image, "PNG")
    ours, theirs = pixels_of(sheet_with(data, "png")), pixels_of(img2pdf.convert(data))
    assert np.array_equal(ours, np.asarray(image.convert("RGB") if mode == "P" else image))
    assert np.array_equal(ours, theirs)


def test_sixteen_bit_grey_in_the_sheet_equals_the_art_and_img2pdfs_embedding(only_image):
    """Compared as unpacked rows, since both keep the PNG's own: qpdf undoes the row filters."""
    image = picture("I;16")
    data = saved(image, "PNG")
    ours, theirs = (only_image(each).obj.read_bytes() for each in (sheet_with(data, "png"), img2pdf.convert(data)))
    assert ours == theirs
    assert np.array_equal(np.frombuffer(ours, ">u2").reshape(140, 100), np.asarray(image))


@pytest.mark.parametrize("options", [{"quality": 85}, {"quality": 85, "progressive": True}])
@pytest.mark.parametrize("mode", ["RGB", "L", "CMYK"])
def test_a_jpeg_in_the_sheet_is_the_file_byte_for_byte_as_img2pdf_has_it(only_image, mode, options):
    data = saved(picture(mode), "JPEG", **options)
    ours, theirs = only_image(sheet_with(data, "jpg")).obj, only_image(img2pdf.convert(data)).obj
    assert ours.read_raw_bytes() == data == theirs.read_raw_bytes()
    if mode == "RGB":  # untagged: ours says that it is sRGB, theirs leaves it to the reader
        assert ours.ColorSpace[0] == pikepdf.Name.ICCBased
        assert (ours.ColorSpace[1].N, ours.ColorSpace[1].Alternate) == (3, theirs.ColorSpace)
    else:
        assert ours.ColorSpace == theirs.ColorSpace


@pytest.mark.parametrize(("format", "kind"), [("TIFF", "tif"), ("WEBP", "webp")])
def test_what_is_packed_again_keeps_every_pixel(pixels_of, format, kind):
    image = picture("RGB")
    options = {"lossless": True} if format == "WEBP" else {}
    assert np.array_equal(pixels_of(sheet_with(saved(image, format, **options), kind)), np.asarray(image))


def test_opaque_alpha_costs_no_pixel(pixels_of):
    image = picture("RGB")
    image.putalpha(255)
    assert np.array_equal(pixels_of(sheet_with(saved(image, "PNG"), "png")), np.asarray(image)[:, :, :3])
