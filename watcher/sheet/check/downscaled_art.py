"""Render a finished file fast, with each art decoded once and shown downscaled.

pdfium decodes a picture again for every page that shows it, and scales it at every place from all its pixels. It also
draws a page of PDF art again at every place. Twenty-four cards on a sheet took five times as long as two. So each
picture is decoded once and reduced by a whole number, and each page of PDF art is drawn once. The result replaces the
art by an incremental update of the file. Pages, places, clips and marks stay the file's own.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NamedTuple

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
from numpy.typing import NDArray
from PIL import Image

from watcher.art.model import CardFace, ImageStream, Raster, VectorPage
from watcher.sheet.check.incremental_update import IncrementalUpdate, read_trailer
from watcher.sheet.draw.card import page_size
from watcher.units import POINTS_PER_INCH

_BAND_PX = 1 << 20
_LARGE_PX = 16_000_000  # a card of A5 at 600 ppi has 17
# Of which pages of PDF art are taken to be. They are drawn at what is wanted of it, and at half of it at least: pdfium
# brings the pictures in them to whole pixels.
_PAGE_PPI, _COARSEST = 300, 2
_MODES = {
    pdfium.FPDFBitmap_Gray: ("L", "L"),
    pdfium.FPDFBitmap_BGR: ("RGB", "BGR"),
    pdfium.FPDFBitmap_BGRx: ("RGB", "BGRX"),
}
_SPACES = {"L": b"/DeviceGray", "RGB": b"/DeviceRGB"}


@dataclass(frozen=True, kw_only=True)
class ShownArt:
    """A picture, or a page of PDF art, in a file.

    Attributes:
        number: of its object.
        size_px: width and height, of a picture as stored, of a page upright and at `_PAGE_PPI`.
        per_mm: the fewest pixels that it has for a mm of the card.
        points: width and height of what the object of a page draws; None of a picture, which draws a unit square.
    """

    number: int
    size_px: tuple[int, int]
    per_mm: float
    points: tuple[float, float] | None = None


def shown_arts(stored: Mapping[ImageStream | VectorPage, int], faces: Iterable[CardFace]) -> tuple[ShownArt, ...]:
    """The pictures and pages of PDF art that faces show.

    Args:
        stored: the number of each one's object in the file.
        faces: what lies on the sheets.
    """
    shown: dict[int, ShownArt] = {}
    for face in faces:
        content = face.art.content
        key = content.stream if isinstance(content, Raster) else content
        if key in stored:
            one = _shown(face, stored[key])
            if one.number not in shown or one.per_mm < shown[one.number].per_mm:
                shown[one.number] = one
    return tuple(shown.values())


def _shown(face: CardFace, number: int) -> ShownArt:
    content, box = face.art.content, face.fit.box
    points: tuple[float, float] | None
    if isinstance(content, Raster):
        size, points = (content.stream.width_px, content.stream.height_px), None
        across, upwards = (box.height, box.width) if content.turn.swaps_sides else (box.width, box.height)
    else:
        page, ppi = page_size(content), Fraction(_PAGE_PPI, POINTS_PER_INCH)
        points = float(page.width), float(page.height)
        size = max(1, math.ceil(page.width * ppi)), max(1, math.ceil(page.height * ppi))
        across, upwards = box.width, box.height
    per_mm = min(size[0] / float(across), size[1] / float(upwards))
    return ShownArt(number=number, size_px=size, per_mm=per_mm, points=points)


class DownscaledArt:
    """The downscaled art of one file, each made once; that of the last pages is cached.

    Args:
        pdf: the finished file.
        page_tree: the object number of its page tree's root.
    """

    def __init__(self, pdf: bytes, page_tree: int) -> None:
        self._pdf, self._page_tree = pdf, page_tree
        self._kept: dict[tuple[int, int], bytes] = {}

    @contextmanager
    def document(self, arts: Sequence[ShownArt], finest: float) -> Iterator[Any]:
        """The file with this art downscaled, as far as that has been made, opened by pdfium.

        Args:
            arts: all that the pages to be rendered show.
            finest: one of the resolutions for which they were made.
        """
        objects: dict[int, bytes] = {}
        free = read_trailer(self._pdf).size
        for at, one in enumerate(arts):
            small = self._kept.get((one.number, _factor(one, finest)))
            if small is not None and one.points is not None:
                objects |= {one.number: _page_with(free + at, one.points), free + at: small}
            elif small is not None:
                objects[one.number] = small
        with closing(
            pypdfium2.PdfDocument(IncrementalUpdate(self._pdf, objects) if objects else self._pdf)
        ) as document:
            yield document

    def take(self, arts: Sequence[ShownArt], finest: Sequence[float]) -> None:
        """Downscale art in the file that has not been downscaled yet, and drop all other art from the cache.

        Args:
            arts: all that the pages to be rendered show.
            finest: pixels per mm that the small pictures have at least, where the art has as many.
        """
        wanted = {(one.number, _factor(one, least)) for one in arts for least in finest}
        self._kept = {pair: small for pair, small in self._kept.items() if pair in wanted}
        missing: dict[int, list[int]] = {}
        for number, factor in sorted(wanted - self._kept.keys()):
            missing.setdefault(number, []).append(factor)
        for one in arts:
            if one.number in missing and (one.points is not None or math.prod(one.size_px) > _LARGE_PX):
                factors = missing.pop(one.number)
                self._kept.update(zip(_pairs(one.number, factors), self._rendered(one, factors), strict=True))
        if missing:
            with ThreadPoolExecutor(1) as second:
                self._take(missing, second)

    def _take(self, missing: Mapping[int, Sequence[int]], second: ThreadPoolExecutor) -> None:
        """Downscale art in two threads: while pdfium decodes a picture, the one before is reduced."""
        with closing(pypdfium2.PdfDocument(self._one_to_a_page(list(missing)))) as document:
            before: _BeingReduced | None = None
            for index, number in enumerate(missing):
                bitmap = _bitmap_of(document, index)
                self._keep(before)
                before = None
                if bitmap is not None and bitmap.format in _MODES:
                    stored = _Stored(*_MODES[bitmap.format], bitmap.width, bitmap.height, bitmap.stride)
                    pixels = np.frombuffer(bitmap.buffer, np.uint8)
                    small = second.submit(_reduced, pixels, stored, missing[number])
                    before = _BeingReduced(number, missing[number], small, bitmap)
            self._keep(before)

    def _keep(self, reduced: "_BeingReduced | None") -> None:
        if reduced is not None:
            self._kept.update(zip(_pairs(reduced.number, reduced.factors), reduced.small.result(), strict=True))

    def _rendered(self, art: ShownArt, factors: Sequence[int]) -> list[bytes]:
        """A page of art drawn at the wanted size, or a picture reduced by pdfium itself, row by row.

        For a picture that is slower, but it never has all its pixels in memory.
        """
        finest = min(factors) if art.points is None else min(*factors, _COARSEST)
        drawn = _reduced_size(art.size_px, finest)
        alone = self._one_to_a_page([art.number], drawn, art.points or (1.0, 1.0))
        with (
            closing(pypdfium2.PdfDocument(alone)) as document,
            closing(document[0]) as page,
            closing(page.render(scale=1, rev_byteorder=True)) as bitmap,
        ):
            picture = bitmap.to_pil().convert("RGB")
        sizes = [_reduced_size(art.size_px, factor) for factor in factors]
        return [_as_object("RGB", size, [picture.resize(size, Image.Resampling.BOX).tobytes()]) for size in sizes]

    def _one_to_a_page(
        self, numbers: Sequence[int], size: tuple[int, int] = (1, 1), drawn: tuple[float, float] = (1.0, 1.0)
    ) -> IncrementalUpdate:
        """The file with other pages: one picture, or page of art, fills each.

        The catalog stays, because it tells which layers of the art are switched off.

        Args:
            numbers: of the objects.
            size: of each page, points.
            drawn: width and height of what each object draws, points.
        """
        first = read_trailer(self._pdf).size
        kids = b" ".join(b"%d 0 R" % (first + 2 * at) for at in range(len(numbers)))
        tree = b"<</Type /Pages /Count %d /MediaBox [0 0 %d %d] /Kids [%s]>>" % (len(numbers), *size, kids)
        objects = {self._page_tree: tree}
        shown = b"%f 0 0 %f 0 0 cm /A Do" % (size[0] / drawn[0], size[1] / drawn[1])
        for at, number in enumerate(numbers):
            page = first + 2 * at
            parts = (self._page_tree, page + 1, number)
            objects[page] = (
                b"<</Type /Page /Parent %d 0 R /Contents %d 0 R /Resources <</XObject <</A %d 0 R>>>>>>" % parts
            )
            objects[page + 1] = b"<</Length %d>>\nstream\n%s\nendstream" % (len(shown), shown)
        return IncrementalUpdate(self._pdf, objects)


def _factor(art: ShownArt, finest: float) -> int:
    return max(1, int(art.per_mm / finest))


def _pairs(number: int, factors: Sequence[int]) -> list[tuple[int, int]]:
    return [(number, factor) for factor in factors]


def _page_with(number: int, points: tuple[float, float]) -> bytes:
    """The form that replaces a page of art: a picture that fills it."""
    shown = b"%f 0 0 %f 0 0 cm /A Do" % points
    kind = b"/Type /XObject /Subtype /Form /BBox [0 0 %f %f] /Resources <</XObject <</A %d 0 R>>>>" % (*points, number)
    return b"<<%s /Length %d>>\nstream\n%s\nendstream" % (kind, len(shown), shown)


class _Stored(NamedTuple):
    """How the pixels of a bitmap are stored: Pillow's mode and raw mode, the size, bytes from row to row."""

    mode: str
    raw: str
    width: int
    height: int
    stride: int


class _BeingReduced(NamedTuple):
    """A picture being reduced in the second thread. The first frees the bitmap, since pdfium is not thread-safe."""

    number: int
    factors: Sequence[int]
    small: "Future[list[bytes]]"
    bitmap: Any


def _bitmap_of(document: Any, index: int) -> Any:
    """The picture on a page, decoded; None where pdfium cannot decode it. Its memory is freed with the object."""
    with closing(document[index]) as page:
        found = pdfium.FPDFPage_GetObject(page, 0)
        raw = pdfium.FPDFImageObj_GetBitmap(found) if found else None
        return pypdfium2.PdfBitmap.from_raw(raw) if raw else None


def _reduced(pixels: NDArray[np.uint8], stored: _Stored, factors: Sequence[int]) -> list[bytes]:
    """The pixels averaged over squares, as objects of a PDF; done in bands of rows, to save memory.

    Squares that are less than half there at the far edges are left out, so that a small picture is less than half a
    pixel longer or shorter than the large one.
    """
    mode, raw, width, height, stride = stored
    whole = math.lcm(*factors)
    rows = whole * max(1, _BAND_PX // (width * whole))
    bands: list[list[bytes]] = [[] for _ in factors]
    for top in range(0, height, rows):
        band = Image.new(mode, (width, min(rows, height - top)), None)
        band.frombytes(pixels[top * stride : (top + band.height) * stride], "raw", (raw, stride, 1))
        for small, factor in zip(bands, factors, strict=True):
            size = _counted(width, factor), _counted(height, factor) - top // factor
            kept = min(width, size[0] * factor), min(band.height, size[1] * factor)
            if kept[1] > 0:
                small.append(band.reduce(factor, (0, 0, *kept)).tobytes())
    return [
        _as_object(mode, _reduced_size((width, height), factor), small)
        for small, factor in zip(bands, factors, strict=True)
    ]


def _reduced_size(size: tuple[int, int], factor: int) -> tuple[int, int]:
    return _counted(size[0], factor), _counted(size[1], factor)


def _counted(length: int, factor: int) -> int:
    """The number of squares along one side of a reduced picture."""
    return max(1, (2 * length + factor) // (2 * factor))


def _as_object(mode: str, size: tuple[int, int], bands: Sequence[bytes]) -> bytes:
    """A picture as the body of an image object (ISO 32000-1 8.9.5), not compressed."""
    kind = b"/Type /XObject /Subtype /Image /Width %d /Height %d /BitsPerComponent 8" % size
    head = b"<<%s /ColorSpace %s /Length %d>>" % (kind, _SPACES[mode], sum(map(len, bands)))
    return b"".join((head, b"\nstream\n", *bands, b"\nendstream"))
