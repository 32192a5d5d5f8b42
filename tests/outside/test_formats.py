"""Every form of picture that is taken, as it shows on the finished sheet, seen by two readers of PDF.

What it must show is worked out from the samples themselves, not by the reader that opened it. PNG forms: ISO/IEC 15948
table 11.1 (colour types and depths), 8.2 (Adam7), 11.3.2.1 (tRNS); 13.12 (scaling of depths). Readers: pdfium, and
poppler where it is installed.
"""

import io
import shutil
import struct
import subprocess
import zlib
from fractions import Fraction

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from watcher.art.decode import open_art
from watcher.art.model import CardFace, Fit
from watcher.errors import ArtUnreadable
from watcher.layout.geometry import Box, Size
from watcher.layout.model import Face, Layout, Place
from watcher.sheet.draw.plan import CardDesign, SheetForm, SheetPlan
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Copies, Duplex, MakeBleed, Side, Turn
from watcher.units import points_to_mm

WIDTH, HEIGHT = 45, 62
ADAM7 = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))
CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
DEPTHS = {0: (1, 2, 4, 8, 16), 2: (8, 16), 3: (1, 2, 4, 8), 4: (8, 16), 6: (8, 16)}
FORMS = [(colour, bits, lace) for colour, depths in DEPTHS.items() for bits in depths for lace in (0, 1)]


def sheet_of(data: bytes, kind: str, page: int | None = None) -> bytes:
    """A sheet of the art's own size, one point a pixel."""
    art = open_art(Side.FRONT, f"x.{kind}", "0" * 64, data, kind, page)
    size = Size(points_to_mm(art.extent.width), points_to_mm(art.extent.height))
    box = Box.at(Fraction(0), Fraction(0), size)
    place = Place(number=1, front=Face(trim=box, bleed_box=box, turn=Turn.NONE), back=None)
    layout = Layout(
        sheet=size, trim=size, bleed=Fraction(0), places=(place,), printable=box, flip=None, cut_lines=0, mixed=False
    )  # fmt: skip
    face = CardFace(art=art, fit=Fit(box=box, bleed=Fraction(0), make_bleed=MakeBleed.NONE, ppi=None))
    form = SheetForm(designs=(CardDesign(front=face),) * layout.up, sheets=1)
    plan = SheetPlan(layout=layout, marks=(), forms=(form,), copies=Copies.ONCE, duplex=Duplex.AUTOMATIC)
    return draw_sheets(plan)[0].pdf


def by_pdfium(pdf: bytes) -> np.ndarray:
    with pypdfium2.PdfDocument(pdf) as document:
        return np.asarray(document[0].render(scale=1).to_pil().convert("RGB")).astype(int)


def by_poppler(pdf: bytes) -> np.ndarray:
    """Four dots a pixel, of which the inner ones are looked at: poppler may shift an edge by part of a dot."""
    ran = subprocess.run(["pdftoppm", "-r", "288", "-png", "-"], input=pdf, capture_output=True, check=True)
    return np.asarray(Image.open(io.BytesIO(ran.stdout)).convert("RGB")).astype(int)[1::4, 1::4]


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def rows_of(samples: np.ndarray, bits: int) -> bytes:
    """Rows without a filter, each with its filter byte."""
    if not samples.size:
        return b""
    flat = samples.reshape(samples.shape[0], -1)
    if bits == 16:
        packed = flat.astype(">u2").view(np.uint8).reshape(len(flat), -1)
    elif bits == 8:
        packed = flat.astype(np.uint8)
    else:
        spread = (flat[..., None] >> np.arange(bits)[::-1]) & 1
        packed = np.packbits(spread.reshape(len(flat), -1).astype(np.uint8), axis=1)
    return b"".join(b"\0" + row.tobytes() for row in packed)


def png_of(samples: np.ndarray, bits: int, colour: int, lace: int = 0, extra: bytes = b"") -> bytes:
    passes = [samples[y::down, x::across] for x, y, across, down in ADAM7] if lace else [samples]
    rows = b"".join(rows_of(part, bits) for part in passes)
    head = struct.pack(">IIBBBBB", samples.shape[1], samples.shape[0], bits, colour, 0, 0, lace)
    packed = chunk(b"IDAT", zlib.compress(rows))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + extra + packed + chunk(b"IEND", b"")


def samples_of(colour: int, bits: int) -> np.ndarray:
    """Ramps in three directions, over the whole range of the depth; patches of 4 px so that readers can be compared."""
    y, x = (axis // 4 * 4 for axis in np.mgrid[0:HEIGHT, 0:WIDTH])
    ramps = np.stack([x / WIDTH, y / HEIGHT, (x + y) / (WIDTH + HEIGHT), 1 - x * y / (WIDTH * HEIGHT)], -1)
    most = 2**bits - 1
    return np.round(ramps[..., : CHANNELS[colour]] * most).astype(np.uint16)


def palette() -> np.ndarray:
    return np.random.default_rng(3).integers(0, 256, (256, 3), dtype=np.uint8)


def shown(samples: np.ndarray, colour: int, bits: int, clear: np.ndarray | None = None) -> np.ndarray:
    """What a viewer shows of the samples, on white: 8 bits, from the standard's own rules."""
    scaled = samples / (2**bits - 1) * 255
    if colour == 3:
        plain, alpha = palette()[samples[..., 0]].astype(float), np.ones(samples.shape[:2])
    else:
        has_alpha = colour in (4, 6)
        plain = scaled[..., :-1] if has_alpha else scaled
        alpha = scaled[..., -1] / 255 if has_alpha else np.ones(samples.shape[:2])
    if clear is not None:
        alpha = np.where(clear, 0.0, alpha)
    plain = np.repeat(plain, 3, axis=2) if plain.shape[2] == 1 else plain
    return plain * alpha[..., None] + 255 * (1 - alpha[..., None])


def plte(bits: int) -> bytes:
    return chunk(b"PLTE", palette()[: 2**bits].tobytes())


def off(found: np.ndarray, wanted: np.ndarray) -> float:
    assert found.shape == wanted.shape
    return float(np.abs(found - wanted).max())


@pytest.mark.parametrize(("colour", "bits", "lace"), FORMS)
def test_every_colour_type_and_depth_of_png(colour, bits, lace):
    samples = samples_of(colour, bits)
    data = png_of(samples, bits, colour, lace, plte(bits) if colour == 3 else b"")
    most = 2 if bits == 16 and colour in (4, 6) else 1.5  # 16 bits with alpha are cut to 8 before they are mixed
    assert off(by_pdfium(sheet_of(data, "png")), shown(samples, colour, bits)) <= most


@pytest.mark.parametrize(("colour", "bits", "lace"), [form for form in FORMS if form[0] in (0, 2)])
def test_a_see_through_colour_is_white(colour, bits, lace):
    """A tRNS chunk of grey and RGB: the one value, in the depth of the samples, that is see-through."""
    samples = samples_of(colour, bits)
    key = samples[0, 0]
    body = b"".join(int(value).to_bytes(2) for value in key)
    data = png_of(samples, bits, colour, lace, chunk(b"tRNS", body))
    clear = (samples == key).all(axis=2)
    assert clear.any()
    assert off(by_pdfium(sheet_of(data, "png")), shown(samples, colour, bits, clear)) <= 1.5


@pytest.mark.parametrize(("bits", "lace"), [form[1:] for form in FORMS if form[0] == 3])
def test_a_see_through_palette_is_mixed_with_white(bits, lace):
    samples = samples_of(3, bits)
    alpha = np.linspace(0, 255, 2**bits).astype(np.uint8)
    data = png_of(samples, bits, 3, lace, plte(bits) + chunk(b"tRNS", alpha.tobytes()))
    part = alpha[samples] / 255
    wanted = palette()[samples[..., 0]] * part + 255 * (1 - part)
    assert off(by_pdfium(sheet_of(data, "png")), wanted) <= 1.5


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="poppler is not installed")
@pytest.mark.parametrize(("colour", "bits"), [(0, 1), (0, 16), (2, 8), (2, 16), (3, 4), (6, 8)])
def test_a_second_reader_sees_the_same(colour, bits):
    """Inner dots of patches; 3 levels, since poppler rounds 16 bits and profiles in its own way."""
    samples = samples_of(colour, bits)
    pdf = sheet_of(png_of(samples, bits, colour, 0, plte(bits) if colour == 3 else b""), "png")
    inner = np.s_[1:-3:4, 1:-3:4]
    assert off(by_poppler(pdf)[inner], shown(samples, colour, bits)[inner]) <= 3


def picture(mode="RGB") -> Image.Image:
    return Image.fromarray(samples_of(2, 8).astype(np.uint8)).convert(mode)


def saved(image: Image.Image, format: str, **options) -> bytes:
    finished = io.BytesIO()
    image.save(finished, format, **options)
    return finished.getvalue()


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"subsampling": 0}, {"qtables": "web_high"}])
@pytest.mark.parametrize("mode", ["L", "RGB"])
def test_jpeg_of_all_kinds(mode, options):
    """Against what libjpeg gives for the same bytes: the sheet holds them untouched."""
    data = saved(picture(mode), "JPEG", quality=90, **options)
    assert off(by_pdfium(sheet_of(data, "jpg")), np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))) <= 3


def without_adobe_marker(data: bytes) -> bytes:
    """The file less its APP14 segment (T.81 B.2.4.6)."""
    at = data.index(b"\xff\xee")
    return data[:at] + data[at + 2 + int.from_bytes(data[at + 2 : at + 4]) :]


@pytest.mark.parametrize("change", [lambda data: data, without_adobe_marker])
def test_cmyk_jpeg_with_and_without_the_adobe_marker(change):
    """Paper stays paper and black is dark: a file read upside down would show the opposite."""
    inks = np.zeros((64, 64, 4), np.uint8)
    inks[:, 32:] = (0, 0, 0, 255)
    inks[32:, :32] = (255, 0, 0, 0)
    page = by_pdfium(sheet_of(change(saved(Image.fromarray(inks, "CMYK"), "JPEG", quality=95)), "jpg"))
    assert page[10, 10].min() >= 250
    assert page[10, 50].max() <= 60
    assert page[50, 10][0] < page[50, 10][2]  # cyan is more blue than red


@pytest.mark.parametrize("packing", [None, "tiff_lzw", "tiff_adobe_deflate", "packbits"])
@pytest.mark.parametrize("mode", ["RGB", "L", "P", "1"])
def test_tiff_of_all_kinds(mode, packing):
    image = picture(mode)
    data = saved(image, "TIFF", compression=packing)
    assert off(by_pdfium(sheet_of(data, "tif")), np.asarray(image.convert("RGB"))) <= 1


@pytest.mark.parametrize("packing", [None, "tiff_lzw", "tiff_adobe_deflate"])
def test_cmyk_tiff(packing):
    """Against the same inks as a JPEG's, which the readers agree on."""
    inks = np.zeros((64, 64, 4), np.uint8)
    inks[:, 32:] = (0, 0, 0, 255)
    page = by_pdfium(sheet_of(saved(Image.fromarray(inks, "CMYK"), "TIFF", compression=packing), "tif"))
    assert page[10, 10].min() >= 250
    assert page[10, 50].max() <= 60


@pytest.mark.parametrize("options", [{}, {"compression": "tiff_lzw"}, {"big_tiff": True}])
def test_the_two_pages_of_a_tiff_are_front_and_back(options):
    front, back = picture(), picture().transpose(Image.Transpose.ROTATE_180)
    data = saved(front, "TIFF", save_all=True, append_images=[back], **options)
    for page, image in enumerate((front, back)):
        assert off(by_pdfium(sheet_of(data, "tif", page)), np.asarray(image)) <= 1
    with pytest.raises(ArtUnreadable, match="has no page 3, only 2"):
        sheet_of(data, "tif", 2)


@pytest.mark.parametrize("alpha", [False, True])
@pytest.mark.parametrize("options", [{"lossless": True}, {"quality": 80}])
def test_webp_lossless_and_lossy_with_and_without_alpha(alpha, options):
    image = picture()
    if alpha:
        image.putalpha(Image.fromarray(samples_of(4, 8)[..., 1].astype(np.uint8)))
    data = saved(image, "WEBP", **options)
    plain = Image.open(io.BytesIO(data)).convert("RGBA")
    wanted = Image.new("RGBA", plain.size, "white")
    wanted.alpha_composite(plain)
    assert off(by_pdfium(sheet_of(data, "webp")), np.asarray(wanted.convert("RGB"))) <= 2


@pytest.mark.parametrize(("format", "kind"), [("PNG", "png"), ("WEBP", "webp")])
def test_moving_pictures_are_held(format, kind):
    other = picture().transpose(Image.Transpose.ROTATE_180)
    data = saved(picture(), format, save_all=True, append_images=[other])
    with pytest.raises(ArtUnreadable, match="holds 2 moving pictures"):
        sheet_of(data, kind)
