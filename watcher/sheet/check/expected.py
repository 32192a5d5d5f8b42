"""Make the expected picture of a face from the art itself, never from the sheet's file.

This is a second way to the same picture. Other code decodes the pixels, places them and makes the bleed; only colours
go through the same renderer, because they could not be compared otherwise.
"""

import io
import math
import zlib
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

import numpy as np
import pypdfium2
from PIL import Image

from watcher.art.formats.profile import SRGB, is_srgb
from watcher.art.model import CardFace, ImageStream, VectorPage
from watcher.art.stored_pixels import stored_picture, upright
from watcher.layout.geometry import Size
from watcher.sheet.check.neighbours import Pixels, averaged, extreme_around, extreme_within
from watcher.terms import MakeBleed
from watcher.units import points_to_mm

_PAPER = 255
_NEARBY_MM = float(points_to_mm(Fraction(1)))  # one pixel of the preview; a finer rendering may be as far off
_NEAR_ENOUGH = 0.12  # of the resolution asked for: then no pixel need be made from parts of others
_EVENLY = (1 / 3, 1 / 3, 1 / 3, 0.0)
_SPACES = {"L": (1, "/DeviceGray"), "RGB": (3, "/DeviceRGB"), "CMYK": (4, "/DeviceCMYK")}


@dataclass(frozen=True, kw_only=True, eq=False)
class Expected:
    """The expected look of a face: the trim and the bleed as it is read, RGB on white paper.

    Attributes:
        darkest, lightest: the least and most that each colour comes to within one pixel, averaged over a pixel less
            than a step: what a picture brought to whole pixels, or scaled a little otherwise, stays between.
        grey: the average of the three colours over a step of three pixels.
        canvas: what all are made from.
        per_mm: pixels per mm; the canvas begins at the upper left of the bleed.
    """

    darkest: Image.Image
    lightest: Image.Image
    grey: Image.Image
    canvas: Pixels
    per_mm: float

    @cached_property
    def picture(self) -> Image.Image:
        """The face averaged over a step of three pixels."""
        return Image.fromarray(averaged(self.canvas, (1, 1, 1)))


def expected_face(face: CardFace, trim: Size, per_mm: float) -> Expected:
    """The expected look of a face, for a comparison in steps of three rendered pixels.

    Args:
        face: the art and where it lies on the card.
        trim: the card.
        per_mm: rendered pixels per mm; the picture has about as many.
    """
    art, per_mm = _art_at(face, per_mm)
    canvas, part = _bleed_made(art, face, trim, per_mm)
    near = averaged(canvas, (1, 2, 1))
    reach = _reach(face, per_mm)
    darkest, lightest = extreme_within(near, reach, np.minimum), extreme_within(near, reach, np.maximum)
    if canvas.shape[:2] != (part[0].stop - part[0].start, part[1].stop - part[1].start):
        darkest, lightest = _with_edge(part, darkest, np.minimum), _with_edge(part, lightest, np.maximum)
    return Expected(
        darkest=Image.fromarray(darkest),
        lightest=Image.fromarray(lightest),
        grey=_grey(canvas),
        canvas=canvas,
        per_mm=per_mm,
    )


def _grey(canvas: Pixels) -> Image.Image:
    even = np.asarray(Image.fromarray(canvas).convert("L", _EVENLY))
    wide = np.pad(even, 1, "edge").astype(np.float32)
    down = wide[:-2] + wide[1:-1] + wide[2:]
    return Image.fromarray((down[:, :-2] + down[:, 1:-1] + down[:, 2:]) / 9)


def _reach(face: CardFace, per_mm: float) -> int:
    """How many rendered pixels away a colour of the art may show: 0.35 mm, and more in art of low resolution.

    The renderer rounds a picture outwards to whole pixels, which stretches it by up to two of them. Between the middles
    of two pixels of the art each renderer blends in its own way, or not at all.
    """
    near = max(1, int(per_mm * _NEARBY_MM))
    if face.art.width_px is None:
        return near
    own_per_mm = face.art.width_px / float(face.fit.box.width)
    return near if own_per_mm >= per_mm else near + math.ceil(per_mm / own_per_mm)


def _with_edge(part: tuple[slice, slice], pixels: Pixels, pick: Callable[..., Pixels]) -> Pixels:
    """The pixels of the art itself, and around it the limits of made bleed.

    Reflections are brought to whole pixels by themselves, so they may lie two further off.
    """
    loose = extreme_around(extreme_around(pixels, pick), pick)
    loose[part] = pixels[part]
    return loose


def _art_at(face: CardFace, per_mm: float) -> tuple[Image.Image, float]:
    """All of the art as it is read, with about `per_mm` pixels per mm, and the exact number."""
    box = face.fit.box
    size = max(1, round(float(box.width) * per_mm)), max(1, round(float(box.height) * per_mm))
    picture = _small(face, size)
    given = picture.width / float(box.width)
    factor = max(1, round(given / per_mm))
    if abs(given / factor / per_mm - 1) <= _NEAR_ENOUGH:
        return (picture.reduce(factor) if factor > 1 else picture), given / factor
    return picture.resize(size, Image.Resampling.HAMMING), per_mm


def _small(face: CardFace, size: tuple[int, int]) -> Image.Image:
    """The art in RGB as the renderer shows its colours, upright, about `size` or larger."""
    content, thumbnail = face.art.content, face.art.thumbnail
    if isinstance(content, VectorPage):
        is_fine = thumbnail is not None and thumbnail.picture.shape[1] >= size[0]
        return Image.fromarray(thumbnail.picture) if thumbnail is not None and is_fine else page_as_drawn(content, size)
    if thumbnail is not None and _is_plain(content.stream):
        return Image.fromarray(thumbnail.picture)
    wanted = (size[1], size[0]) if content.turn.swaps_sides else size
    stored = stored_picture(content.stream, (2 * wanted[0], 2 * wanted[1]))
    factor = min(stored.width // (2 * wanted[0]), stored.height // (2 * wanted[1]))
    if factor > 1:
        stored = stored.reduce(factor)
    return upright(_in_colours_of_the_renderer(stored, content.stream.icc), content)


def _is_plain(stream: ImageStream) -> bool:
    """Whether the renderer shows the stored numbers unchanged."""
    icc = stream.icc
    return stream.colours != 4 and (icc is None or icc == SRGB or (stream.colours == 3 and is_srgb(icc)))


def page_as_drawn(page: VectorPage, size: tuple[int, int]) -> Image.Image:
    """A page of a PDF as its own file shows it."""
    view = tuple(float(edge) for edge in (page.view.left, page.view.bottom, page.view.right, page.view.top))
    with closing(pypdfium2.PdfDocument(page.pdf)) as document:
        with closing(document[page.page]) as boxed:
            boxed.set_mediabox(*view)
            boxed.set_cropbox(*view)
        return _rendered(document, page.page, size)


def _rendered(document: pypdfium2.PdfDocument, number: int, size: tuple[int, int]) -> Image.Image:
    """A page as it is read, about `size`. It is opened again, because pdfium reads the boxes when it opens a page."""
    with closing(document[number]) as shown:
        width, height = shown.get_size()
        scale = max(size[0] / width, size[1] / height)
        with closing(shown.render(scale=scale, rev_byteorder=True, draw_annots=False)) as bitmap:
            picture: Image.Image = bitmap.to_pil()
            return picture.convert("RGB")


def _in_colours_of_the_renderer(picture: Image.Image, icc: bytes | None) -> Image.Image:
    """A small picture as pdfium shows its colours: put on a page of one point a pixel and rendered at that size."""
    if icc is None and picture.mode != "CMYK":
        return picture.convert("RGB")
    with (
        closing(pypdfium2.PdfDocument(_as_page(picture, icc))) as document,
        closing(document[0]) as page,
        closing(page.render(scale=1, rev_byteorder=True)) as bitmap,
    ):
        shown: Image.Image = bitmap.to_pil()
        return shown.convert("RGB")


def _as_page(picture: Image.Image, icc: bytes | None) -> bytes:
    """A PDF of one page that shows the picture at a pixel a point, written without the code that draws sheets."""
    width, height = picture.size
    colours, device = _SPACES[picture.mode]
    space = device.encode() if icc is None else b"[/ICCBased 5 0 R]"
    content = f"{width} 0 0 {height} 0 0 cm /I Do".encode()
    head = f"/Type /XObject /Subtype /Image /Width {width} /Height {height} /BitsPerComponent 8 /ColorSpace ".encode()
    objects = [
        b"<</Type /Catalog /Pages 2 0 R>>",
        f"<</Type /Pages /Count 1 /Kids [3 0 R] /MediaBox [0 0 {width} {height}]>>".encode(),
        b"<</Type /Page /Parent 2 0 R /Contents 4 0 R /Resources <</XObject <</I 6 0 R>>>>>>",
        _stream(b"", content),
        _stream(f"/N {colours}".encode(), icc or b""),
        _stream(head + space + b" /Filter /FlateDecode", zlib.compress(picture.tobytes(), 1)),
    ]
    out, places = io.BytesIO(b"%PDF-1.6\n"), []
    out.seek(0, io.SEEK_END)
    for number, body in enumerate(objects, start=1):
        places.append(out.tell())
        out.write(b"%d 0 obj\n%s\nendobj\n" % (number, body))
    start = out.tell()
    out.write(b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1))
    out.writelines(b"%010d 00000 n \n" % place for place in places)
    out.write(b"trailer\n<</Size %d /Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, start))
    return out.getvalue()


def _stream(words: bytes, data: bytes) -> bytes:
    return b"<<%s /Length %d>>\nstream\n%s\nendstream" % (words, len(data), data)


def _bleed_made(art: Image.Image, face: CardFace, trim: Size, per_mm: float) -> tuple[Pixels, tuple[slice, slice]]:
    """The art on a canvas of the trim and the bleed, its edges reflected or extended where it ends too early.

    Returns:
        The canvas, and the part of it that is the art itself.
    """
    fit = face.fit
    whole = trim.grown(fit.bleed)
    width, height = (round(float(length) * per_mm) for length in (whole.width, whole.height))
    left = round(float(fit.box.left + fit.bleed) * per_mm)
    top = round(float(trim.height + fit.bleed - fit.box.top) * per_mm)
    gaps = left, top, width - left - art.width, height - top - art.height
    kept = art.crop((max(0, -left), max(0, -top), art.width - max(0, -gaps[2]), art.height - max(0, -gaps[3])))
    pixels = np.asarray(kept)
    box = fit.box
    covered = box.left <= 0, box.top >= trim.height, box.right >= trim.width, box.bottom <= 0
    for end, (gap, is_covered) in enumerate(zip(gaps, covered, strict=True)):
        if gap > 0:
            pixels = _run_out(pixels, end, gap, fit.make_bleed if is_covered else MakeBleed.NONE)
    rows, columns = max(0, gaps[1]), max(0, gaps[0])
    part = slice(rows, rows + kept.height), slice(columns, columns + kept.width)
    return pixels, part


def _run_out(pixels: Pixels, end: int, by: int, how: MakeBleed) -> Pixels:
    """The pixels with `by` more rows or columns at one end: 0 left, 1 top, 2 right, 3 bottom."""
    before, after = (by, 0) if end < 2 else (0, by)
    widths = ((0, 0), (before, after), (0, 0)) if end % 2 == 0 else ((before, after), (0, 0), (0, 0))
    if how is MakeBleed.MIRROR:
        return np.pad(pixels, widths, "symmetric")
    if how is MakeBleed.EXTEND:
        return np.pad(pixels, widths, "edge")
    return np.pad(pixels, widths, constant_values=_PAPER)
