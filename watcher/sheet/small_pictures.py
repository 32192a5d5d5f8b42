"""A finished file with each of its pictures taken out once by the renderer and then shown small.

pdfium unpacks a picture for every page that shows it, and scales it anew, from all its pixels, at every place:
twenty-four cards on a sheet took five times as long as two. So each picture is unpacked once, reduced by a whole
number, and put in the place of the large one by an update behind the file. Pages, places, clips and marks stay the
file's own.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from typing import Any

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
from PIL import Image

from watcher.art.model import CardFace, ImageStream, Raster
from watcher.sheet.updated import UpdatedPdf, ending_of

_BAND_PX = 1 << 20
_MODES = {
    pdfium.FPDFBitmap_Gray: ("L", "L"),
    pdfium.FPDFBitmap_BGR: ("RGB", "BGR"),
    pdfium.FPDFBitmap_BGRx: ("RGB", "BGRX"),
}
_SPACES = {"L": b"/DeviceGray", "RGB": b"/DeviceRGB"}


@dataclass(frozen=True, kw_only=True)
class ShownPicture:
    """A picture of a file.

    Attributes:
        number: of its object.
        per_mm: the fewest pixels that it has for a mm of the card.
    """

    number: int
    per_mm: float


def shown_pictures(stored: Mapping[ImageStream, int], faces: Iterable[CardFace]) -> tuple[ShownPicture, ...]:
    """The pictures that faces show.

    Args:
        stored: the number of each picture's object in the file.
        faces: what lies on the sheets.
    """
    per_mm: dict[int, float] = {}
    for face in faces:
        content = face.art.content
        if isinstance(content, Raster) and content.stream in stored:
            number, box = stored[content.stream], face.fit.box
            across, upwards = (box.height, box.width) if content.turn.swaps_sides else (box.width, box.height)
            fewest = min(content.stream.width_px / float(across), content.stream.height_px / float(upwards))
            per_mm[number] = min(fewest, per_mm.get(number, math.inf))
    return tuple(ShownPicture(number=number, per_mm=fewest) for number, fewest in per_mm.items())


class SmallPictures:
    """The pictures of one file, each taken out of it once; those of the pages looked at last are kept.

    Args:
        pdf: the finished file.
    """

    def __init__(self, pdf: bytes) -> None:
        self._pdf = pdf
        self._kept: dict[tuple[int, int], bytes] = {}

    @contextmanager
    def documents(self, pictures: Sequence[ShownPicture], finest: Sequence[float]) -> Iterator[list[Any]]:
        """The file with these pictures small, opened by pdfium: once for each resolution.

        Args:
            pictures: all that the pages to be rendered show.
            finest: pixels per mm that the small pictures have at least, where the large ones have as many.
        """
        factors = [{one.number: max(1, int(one.per_mm / least)) for one in pictures} for least in finest]
        self._take({pair for by_number in factors for pair in by_number.items()})
        with ExitStack() as opened:
            yield [
                opened.enter_context(closing(pypdfium2.PdfDocument(self._with_small(by_number))))
                for by_number in factors
            ]

    def _with_small(self, factors: Mapping[int, int]) -> "bytes | UpdatedPdf":
        objects = {number: self._kept[pair] for number, pair in _paired(factors) if pair in self._kept}
        return UpdatedPdf(self._pdf, objects) if objects else self._pdf

    def _take(self, wanted: set[tuple[int, int]]) -> None:
        """Have these pictures at these factors; others are forgotten."""
        self._kept = {pair: small for pair, small in self._kept.items() if pair in wanted}
        missing: dict[int, list[int]] = {}
        for number, factor in sorted(wanted - self._kept.keys()):
            missing.setdefault(number, []).append(factor)
        if not missing:
            return
        with closing(pypdfium2.PdfDocument(_one_to_a_page(self._pdf, list(missing)))) as document:
            for index, (number, factors) in enumerate(missing.items()):
                for factor, small in zip(factors, _small_ones(document, index, factors), strict=False):
                    self._kept[number, factor] = small


def _paired(factors: Mapping[int, int]) -> Iterator[tuple[int, tuple[int, int]]]:
    return ((pair[0], pair) for pair in factors.items())


def _one_to_a_page(pdf: bytes, numbers: Sequence[int]) -> UpdatedPdf:
    """The file with other pages: a picture on each."""
    pages = ending_of(pdf).size
    catalog, first = pages + 1, pages + 2
    objects = {
        pages: b"<</Type /Pages /Count %d /Kids [%s]>>"
        % (len(numbers), b" ".join(b"%d 0 R" % (first + 2 * at) for at in range(len(numbers)))),
        catalog: b"<</Type /Catalog /Pages %d 0 R>>" % pages,
    }
    for at, number in enumerate(numbers):
        page = first + 2 * at
        objects[page] = (
            b"<</Type /Page /Parent %d 0 R /MediaBox [0 0 1 1] /Contents %d 0 R /Resources <</XObject <</A %d 0 R>>>>>>"
            % (pages, page + 1, number)
        )
        objects[page + 1] = b"<</Length 5>>\nstream\n/A Do\nendstream"
    return UpdatedPdf(pdf, objects, catalog)


def _small_ones(document: Any, index: int, factors: Sequence[int]) -> list[bytes]:
    """The picture on a page reduced by each factor; nothing where pdfium makes no picture of it."""
    with closing(document[index]) as page:
        found = pdfium.FPDFPage_GetObject(page, 0)
        raw = pdfium.FPDFImageObj_GetBitmap(found) if found else None
        if not raw:
            return []
        bitmap = pypdfium2.PdfBitmap.from_raw(raw)  # which gives its memory back when it goes
        return _reduced(bitmap, factors) if bitmap.format in _MODES else []


def _reduced(bitmap: Any, factors: Sequence[int]) -> list[bytes]:
    """The bitmap's pixels averaged over squares, band by band: whole it would take its memory once more.

    Squares that are less than half there at the far edges are left out, so that a small picture is less than half a
    pixel longer or shorter than the large one.
    """
    (mode, stored), width, height = _MODES[bitmap.format], bitmap.width, bitmap.height
    whole = math.lcm(*factors)
    rows = whole * max(1, _BAND_PX // (width * whole))
    pixels = np.frombuffer(bitmap.buffer, np.uint8)
    bands: list[list[bytes]] = [[] for _ in factors]
    for top in range(0, height, rows):
        band = Image.new(mode, (width, min(rows, height - top)), None)
        part = pixels[top * bitmap.stride : (top + band.height) * bitmap.stride]
        band.frombytes(part, "raw", (stored, bitmap.stride, 1))
        for small, factor in zip(bands, factors, strict=True):
            size = _counted(width, factor), _counted(height, factor) - top // factor
            kept = min(width, size[0] * factor), min(band.height, size[1] * factor)
            if kept[1] > 0:
                small.append(band.reduce(factor, (0, 0, *kept)).tobytes())
    return [
        _as_object(mode, (_counted(width, factor), _counted(height, factor)), small)
        for small, factor in zip(bands, factors, strict=True)
    ]


def _counted(length: int, factor: int) -> int:
    """How many squares a picture is reduced to along one side."""
    return max(1, (2 * length + factor) // (2 * factor))


def _as_object(mode: str, size: tuple[int, int], bands: Sequence[bytes]) -> bytes:
    """A picture as the body of an image object (ISO 32000-1 8.9.5), not compressed."""
    kind = b"/Type /XObject /Subtype /Image /Width %d /Height %d /BitsPerComponent 8" % size
    head = b"<<%s /ColorSpace %s /Length %d>>" % (kind, _SPACES[mode], sum(map(len, bands)))
    return b"".join((head, b"\nstream\n", *bands, b"\nendstream"))
