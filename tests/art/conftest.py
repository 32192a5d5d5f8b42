"""Art for the tests: drawn here, never stored."""

import io
import struct
import zlib
from fractions import Fraction

import numpy as np
import pikepdf
import pytest
from PIL import Image

from tests.ready import prepare_faces
from watcher.art.checks.preflight import ORDINARY
from watcher.art.decode import open_art
from watcher.art.model import Art, ImageStream, Raster, VectorPage
from watcher.errors import ArtUnreadable
from watcher.layout.geometry import Box, Size
from watcher.settings.card import CardSettings
from watcher.terms import Side, Turn


@pytest.fixture
def picture():
    """Makes a picture that looks the same in no two directions, of any mode."""

    def make(width=40, height=30, mode="RGB"):
        rows, columns = np.mgrid[0:height, 0:width]
        layers = [(columns * 255 // width), (rows * 255 // height), (columns * 7 + rows * 13) % 256]
        rgb = Image.fromarray(np.stack(layers, -1).astype(np.uint8))
        if mode == "I;16":
            return Image.fromarray((columns * 1000 + rows * 7).astype(np.uint16))
        return rgb.convert(mode)

    return make


@pytest.fixture
def saved():
    """The bytes of a picture saved in a format."""

    def save(image, format="PNG", **options):
        finished = io.BytesIO()
        image.save(finished, format, **options)
        return finished.getvalue()

    return save


@pytest.fixture
def opened():
    """Opens bytes as a front."""

    def open_it(data, kind="png", page=None, side=Side.FRONT, shown="x.png") -> Art:
        return open_art(side, shown, "0" * 64, data, kind, page)

    return open_it


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


@pytest.fixture
def png_of():
    """A PNG put together chunk by chunk, for forms that Pillow does not write. Source: ISO/IEC 15948 5.3, 11.2."""

    def build(width, height, bits, colour_type, rows: bytes, interlace=0, extra=(), cuts=1, raw=None):
        packed = raw or zlib.compress(rows)
        step = -(-len(packed) // cuts)
        parts = [packed[at : at + step] for at in range(0, len(packed), step)]
        head = struct.pack(">IIBBBBB", width, height, bits, colour_type, 0, 0, interlace)
        chunks = [(b"IHDR", head), *extra, *((b"IDAT", part) for part in parts), (b"IEND", b"")]
        return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(kind, body) for kind, body in chunks)

    return build


@pytest.fixture
def pixels(png_of):
    """The pixels in an image stream, unpacked by Pillow from a PNG built around it: a PDF's predictor 15 is PNG's."""

    def unpack(stream) -> np.ndarray:
        if stream.filter == "/DCTDecode":
            return np.asarray(Image.open(io.BytesIO(stream.data)))
        colour_type = 3 if stream.palette else {1: 0, 3: 2}[stream.colours]
        extra = [(b"PLTE", stream.palette)] if stream.palette else []
        rows = zlib.decompress(stream.data)
        image = Image.open(
            io.BytesIO(png_of(stream.width_px, stream.height_px, stream.bits, colour_type, rows, extra=extra))
        )
        return np.asarray(image.convert("RGB") if stream.palette else image)

    return unpack


@pytest.fixture
def card():
    """Settings of a 5 x 7 in card with 1/8 in bleed, or with what is said otherwise."""

    def make(**said) -> CardSettings:
        return CardSettings(**{"name": "invitation", "trim": "5 x 7 in", "sheet": "letter", "bleed": "0.125 in"} | said)

    return make


@pytest.fixture
def art_of():
    """A side's art of so many pixels, or of so many mm when `mm` is set, without opening any file."""

    def make(width, height, *, mm=False, side=Side.FRONT, shown="x.png"):
        extent = Size(Fraction(str(width)), Fraction(str(height)))
        page = VectorPage(pdf=b"", page=0, view=Box(*map(Fraction, (0, 0, 1, 1))), turn=Turn.NONE, unit=Fraction(1))
        stream = ImageStream(data=b"", filter="/FlateDecode", predictor=15, width_px=0, height_px=0, bits=8, colours=3)
        return Art(
            side=side,
            file=shown,
            sha256="0" * 64,
            extent=extent,
            width_px=None if mm else width,
            height_px=None if mm else height,
            content=page if mm else Raster(stream=stream),
            real_size=extent if mm else None,
        )

    return make


@pytest.fixture
def pdf_of():
    """A PDF of pages of one size in mm, made by pikepdf, with page entries on top."""

    def make(width_pt=360, height_pt=504, pages=1, content=b"1 0 0 rg 0 0 50 50 re f", **entries):
        pdf = pikepdf.new()
        for _ in range(pages):
            page = pdf.add_blank_page(page_size=(width_pt, height_pt))
            page.Contents = pdf.make_stream(content)
            for key, value in entries.items():
                page.obj[f"/{key}"] = value
        finished = io.BytesIO()
        pdf.save(finished)
        return finished.getvalue()

    return make


@pytest.fixture
def refusal(opened):
    """What is said of bytes that are refused."""

    def said(data, kind="png", **more) -> str:
        with pytest.raises(ArtUnreadable) as refused:
            opened(data, kind, **more)
        assert "\n" not in str(refused.value)
        return str(refused.value)

    return said


@pytest.fixture
def said():
    """What is said of opened art on a card: (code, level) and the sentence, by code."""

    def tell(arts, card, printer=None):
        faces, findings = prepare_faces(arts if isinstance(arts, list) else [arts], card, printer or ORDINARY)
        assert all("\n" not in finding.message for finding in findings)
        return {finding.code: finding for finding in findings}

    return tell


@pytest.fixture
def small(card):
    """A card of 60 x 84 mm with 3 mm of bleed that is content with 20 ppi, for small pictures."""
    return card(trim="60 x 84 mm", bleed="3 mm", warn_ppi=20, hold_ppi=10)
