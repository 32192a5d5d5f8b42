"""A finished file with each of its pictures taken out once by the renderer and then shown small.

pdfium unpacks a picture for every page that shows it, and scales it anew, from all its pixels, at every place:
twenty-four cards on a sheet took five times as long as two. So each picture is unpacked once, reduced by a whole
number, and put in the place of the large one by an update behind the file. Pages, places, clips and marks stay the
file's own.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
from numpy.typing import NDArray
from PIL import Image

from watcher.art.model import CardFace, ImageStream, Raster
from watcher.sheet.updated import UpdatedPdf, ending_of

_BAND_PX = 1 << 20
_LARGE_PX = 16_000_000  # a card of A5 at 600 ppi has 17
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
        size_px: width and height as stored.
        per_mm: the fewest pixels that it has for a mm of the card.
    """

    number: int
    size_px: tuple[int, int]
    per_mm: float


def shown_pictures(stored: Mapping[ImageStream, int], faces: Iterable[CardFace]) -> tuple[ShownPicture, ...]:
    """The pictures that faces show.

    Args:
        stored: the number of each picture's object in the file.
        faces: what lies on the sheets.
    """
    shown: dict[int, ShownPicture] = {}
    for face in faces:
        content = face.art.content
        if isinstance(content, Raster) and content.stream in stored:
            number, box, stream = stored[content.stream], face.fit.box, content.stream
            across, upwards = (box.height, box.width) if content.turn.swaps_sides else (box.width, box.height)
            fewest = min(stream.width_px / float(across), stream.height_px / float(upwards))
            if number not in shown or fewest < shown[number].per_mm:
                size = stream.width_px, stream.height_px
                shown[number] = ShownPicture(number=number, size_px=size, per_mm=fewest)
    return tuple(shown.values())


class SmallPictures:
    """The pictures of one file, each taken out of it once; those of the pages looked at last are kept.

    Args:
        pdf: the finished file.
    """

    def __init__(self, pdf: bytes) -> None:
        self._pdf = pdf
        self._kept: dict[tuple[int, int], bytes] = {}

    @contextmanager
    def document(self, pictures: Sequence[ShownPicture], finest: float) -> Iterator[Any]:
        """The file with these pictures small, as far as they have been taken, opened by pdfium.

        Args:
            pictures: all that the pages to be rendered show.
            finest: one of the resolutions for which they were taken.
        """
        pairs = [(one.number, _factor(one, finest)) for one in pictures]
        objects = {pair[0]: self._kept[pair] for pair in pairs if pair in self._kept}
        with closing(pypdfium2.PdfDocument(UpdatedPdf(self._pdf, objects) if objects else self._pdf)) as document:
            yield document

    def take(self, pictures: Sequence[ShownPicture], finest: Sequence[float]) -> None:
        """Take pictures out of the file, those that were not taken before; all others are forgotten.

        Args:
            pictures: all that the pages to be rendered show.
            finest: pixels per mm that the small pictures have at least, where the large ones have as many.
        """
        wanted = {(one.number, _factor(one, least)) for one in pictures for least in finest}
        self._kept = {pair: small for pair, small in self._kept.items() if pair in wanted}
        missing: dict[int, list[int]] = {}
        for number, factor in sorted(wanted - self._kept.keys()):
            missing.setdefault(number, []).append(factor)
        sizes = {one.number: one.size_px for one in pictures}
        large = [number for number in missing if math.prod(sizes[number]) > _LARGE_PX]
        for number in large:
            factors = missing.pop(number)
            small = _rendered(self._pdf, number, sizes[number], factors)
            self._kept.update(zip([(number, factor) for factor in factors], small, strict=True))
        if missing:
            with ThreadPoolExecutor(1) as second:
                self._take(missing, second)

    def _take(self, missing: Mapping[int, Sequence[int]], second: ThreadPoolExecutor) -> None:
        """While pdfium unpacks a picture, the one before is made small."""
        with closing(pypdfium2.PdfDocument(_one_to_a_page(self._pdf, list(missing)))) as document:
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
            pairs = [(reduced.number, factor) for factor in reduced.factors]
            self._kept.update(zip(pairs, reduced.small.result(), strict=True))


def _factor(picture: ShownPicture, finest: float) -> int:
    return max(1, int(picture.per_mm / finest))


def _one_to_a_page(pdf: bytes, numbers: Sequence[int], size: tuple[int, int] = (1, 1)) -> UpdatedPdf:
    """The file with other pages: a picture on each, over all of it; `size` in points."""
    pages = ending_of(pdf).size
    catalog, first = pages + 1, pages + 2
    kids = b" ".join(b"%d 0 R" % (first + 2 * at) for at in range(len(numbers)))
    objects = {
        pages: b"<</Type /Pages /Count %d /MediaBox [0 0 %d %d] /Kids [%s]>>" % (len(numbers), *size, kids),
        catalog: b"<</Type /Catalog /Pages %d 0 R>>" % pages,
    }
    for at, number in enumerate(numbers):
        page, shown = first + 2 * at, b"%d 0 0 %d 0 0 cm /A Do" % size
        resources = b"<</XObject <</A %d 0 R>>>>" % number
        parts = (pages, page + 1, resources)
        objects[page] = b"<</Type /Page /Parent %d 0 R /Contents %d 0 R /Resources %s>>" % parts
        objects[page + 1] = b"<</Length %d>>\nstream\n%s\nendstream" % (len(shown), shown)
    return UpdatedPdf(pdf, objects, catalog)


def _rendered(pdf: bytes, number: int, size_px: tuple[int, int], factors: Sequence[int]) -> list[bytes]:
    """A picture reduced by pdfium itself, row by row: slower, but nothing has all of its pixels in memory at once."""
    finest = [_counted(length, min(factors)) for length in size_px]
    page_size = finest[0], finest[1]
    with (
        closing(pypdfium2.PdfDocument(_one_to_a_page(pdf, [number], page_size))) as document,
        closing(document[0]) as page,
        closing(page.render(scale=1, rev_byteorder=True)) as bitmap,
    ):
        picture = bitmap.to_pil().convert("RGB")
    sizes = [(_counted(size_px[0], factor), _counted(size_px[1], factor)) for factor in factors]
    return [_as_object("RGB", size, [picture.resize(size, Image.Resampling.BOX).tobytes()]) for size in sizes]


class _Stored(NamedTuple):
    """How the pixels of a bitmap are stored: Pillow's mode and raw mode, the size, bytes from row to row."""

    mode: str
    raw: str
    width: int
    height: int
    stride: int


class _BeingReduced(NamedTuple):
    """A picture at work in the second thread. The bitmap is given back in the first: pdfium knows no threads."""

    number: int
    factors: Sequence[int]
    small: "Future[list[bytes]]"
    bitmap: Any


def _bitmap_of(document: Any, index: int) -> Any:
    """The picture on a page, unpacked; it gives its memory back when it goes. None where pdfium makes nothing of it."""
    with closing(document[index]) as page:
        found = pdfium.FPDFPage_GetObject(page, 0)
        raw = pdfium.FPDFImageObj_GetBitmap(found) if found else None
        return pypdfium2.PdfBitmap.from_raw(raw) if raw else None


def _reduced(pixels: NDArray[np.uint8], stored: _Stored, factors: Sequence[int]) -> list[bytes]:
    """The pixels averaged over squares, as objects of a PDF; band by band: whole they would take their memory again.

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
