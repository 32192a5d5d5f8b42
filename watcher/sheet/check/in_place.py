"""Draw a page of PDF art from its own file exactly as it lies at a place of a rendered sheet.

At low resolution the renderer rounds: the tiles of a pattern, hairlines, pictures and shadings come to whole pixels,
and what that gives depends on where the pixels begin. pdfium even adds up what it rounds: a pattern whose tiles touch
(as cairo writes all of them) is drawn with tiles of a whole number of pixels, so that a hundred tiles of 13.6 pixels
end 40 pixels off. There is no resolution at which that is right. So the same thing is drawn twice in the same way: as
it lies on the sheet, and from the customer's file with the scale and the place that the plan gives it.
"""

import math
from collections.abc import Iterator
from contextlib import ExitStack, closing
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium

from watcher.art.model import CardFace, VectorPage
from watcher.layout.geometry import Size
from watcher.sheet.check.displacement import Levels, grey
from watcher.sheet.check.neighbours import Pixels, averaged, extreme_around, extreme_within
from watcher.sheet.draw.bleed import SEAM_MM
from watcher.sheet.frames import Frame
from watcher.terms import MakeBleed

_WHITE = (255, 255, 255, 255)
_STEPS_ROUND = 2  # drawn round the part that is wanted, so that what is nearby is known at its edges too
_HAIR = 1e-3  # of a pixel: an edge that lies on a pixel's edge touches no pixel beyond

Window = tuple[int, int, int, int]
_Ends = tuple[float, float]


@dataclass(frozen=True, kw_only=True, eq=False)
class InPlace:
    """The expected look of a part of a page, in steps of some pixels; an `expected_page.Wanted`."""

    darkest: Pixels
    lightest: Pixels
    pixels: Pixels
    step: int

    @cached_property
    def picture(self) -> Pixels:
        """The average of each step."""
        pixels = self.pixels.astype(np.uint16)
        height, width = (length // self.step for length in pixels.shape[:2])
        total = pixels.reshape(height, self.step, width, self.step, 3).sum(axis=(1, 3))
        return np.asarray(total // self.step**2).astype(np.uint8)

    @property
    def grey(self) -> Levels:
        """The average of each step and of its colours."""
        return grey(self.picture)


class ArtInPlace:
    """Draws pages of PDF art at places of rendered pages; each file is opened once, until it is closed."""

    def __init__(self, trim: Size) -> None:
        self._trim = trim
        self._open = ExitStack()
        self._pages: dict[int, Any] = {}

    def __enter__(self) -> "ArtInPlace":
        return self

    def __exit__(self, *_ending: object) -> None:
        self._open.close()

    def wanted(self, face: CardFace, on_pixels: Frame, window: Window, step: int) -> InPlace:
        """The expected look of a face inside a part of the page.

        Args:
            face: with a page of a PDF for art.
            on_pixels: brings the card (mm, y up) onto the pixels of the page, y down.
            window: left, top, right, bottom, in steps.
            step: how many pixels a step has.
        """
        left, top, right, bottom = window
        size = right - left + 2 * _STEPS_ROUND, bottom - top + 2 * _STEPS_ROUND
        shown = Frame.moved(-step * (left - _STEPS_ROUND), -step * (top - _STEPS_ROUND)).after(on_pixels)
        drawing = _Drawing(self._page(face.art.content), face, self._trim, shown, (step * size[0], step * size[1]))
        canvas = drawing.canvas()
        near = averaged(canvas, (1, 2, 1))
        darkest, lightest = extreme_within(near, 1, np.minimum), extreme_within(near, 1, np.maximum)
        darkest, lightest = drawing.loosened(darkest, np.minimum), drawing.loosened(lightest, np.maximum)
        middle = slice(step * _STEPS_ROUND + step // 2, -step * _STEPS_ROUND, step)
        kept = slice(step * _STEPS_ROUND, -step * _STEPS_ROUND)
        return InPlace(
            darkest=darkest[middle, middle], lightest=lightest[middle, middle], pixels=canvas[kept, kept], step=step
        )

    def _page(self, content: object) -> Any:
        """The page opened by pdfium, all of it its view."""
        assert isinstance(content, VectorPage)
        if id(content) not in self._pages:
            view = tuple(
                float(edge) for edge in (content.view.left, content.view.bottom, content.view.right, content.view.top)
            )
            document = self._open.enter_context(closing(pypdfium2.PdfDocument(content.pdf)))
            with closing(document[content.page]) as boxed:
                boxed.set_mediabox(*view)
                boxed.set_cropbox(*view)
            # opened anew: pdfium reads the boxes when it opens a page
            self._pages[id(content)] = self._open.enter_context(closing(document[content.page]))
        return self._pages[id(content)]


class _Drawing:
    """One face drawn onto a bitmap: the bleed that is made for it, and the art over that.

    Args:
        page: the art, opened.
        face: the art and how it lies on the card.
        trim: the card.
        shown: brings the card onto the bitmap's pixels.
        size: width and height of the bitmap.
    """

    def __init__(self, page: Any, face: CardFace, trim: Size, shown: Frame, size: tuple[int, int]) -> None:
        self._page, self._fit, self._shown, self._size = page, face.fit, shown, size
        box, bleed, self._seam = face.fit.box, float(face.fit.bleed), float(SEAM_MM)
        self._across, self._up = (float(box.left), float(box.right)), (float(box.bottom), float(box.top))
        self._width, self._height = (-bleed, float(trim.width) + bleed), (-bleed, float(trim.height) + bleed)
        self._trim = float(trim.width), float(trim.height)
        width, height = page.get_size()  # upright, as pdfium shows it at a pixel a point
        onto = float(box.width) / width, float(box.height) / height
        self._onto_card = Frame((onto[0], 0.0, 0.0, -onto[1], self._across[0], self._up[1]))

    def canvas(self) -> Pixels:
        """The pixels, RGB."""
        width, height = self._size
        with closing(pypdfium2.PdfBitmap.new_native(width, height, pdfium.FPDFBitmap_BGR)) as bitmap:
            bitmap.fill_rect(_WHITE, 0, 0, width, height)
            for copy, across, up in self._copies():
                matrix = self._shown.after(copy).after(self._onto_card)
                clip = pdfium.FS_RECTF(*self._pixels(across, up))
                flags = pdfium.FPDF_REVERSE_BYTE_ORDER
                pdfium.FPDF_RenderPageBitmapWithMatrix(
                    bitmap, self._page, pdfium.FS_MATRIX(*matrix.numbers), clip, flags
                )
            return np.ascontiguousarray(bitmap.to_numpy()[:, :, :3])

    def loosened(self, pixels: Pixels, pick: Any) -> Pixels:
        """The limits of reflected bleed: colours up to two pixels further off."""
        if not self._is_reflected:
            return pixels
        left, top, right, bottom = self._pixels(self._across, self._up)
        loose = extreme_around(extreme_around(pixels, pick), pick)
        rows, columns = slice(max(0, top), max(0, bottom)), slice(max(0, left), max(0, right))
        loose[rows, columns] = pixels[rows, columns]
        return loose

    @property
    def _is_reflected(self) -> bool:
        across, up = self._beyond
        return self._fit.make_bleed is MakeBleed.MIRROR and len(across) + len(up) > 2

    @property
    def _beyond(self) -> tuple[list[tuple[int, _Ends]], list[tuple[int, _Ends]]]:
        """The parts of each axis: the art itself (0), and bleed that is made at its low (-1) and high (1) end.

        Where the art ends inside of the trim, paper is meant.
        """
        parts = []
        for (low, high), (first, last), length in (
            (self._across, self._width, self._trim[0]),
            (self._up, self._height, self._trim[1]),
        ):
            ends: list[tuple[int, _Ends]] = [(0, (low, high))]
            if first < low <= 0:
                ends.append((-1, (first, low + 2 * self._seam)))
            if length <= high < last:
                ends.append((1, (high - 2 * self._seam, last)))
            parts.append(ends)
        return parts[0], parts[1]

    def _copies(self) -> Iterator[tuple[Frame, _Ends, _Ends]]:
        """The art's reflections, corners first, and then the art: how each lies on the card, and its part of it."""
        across, up = self._beyond
        copies = [(x, y) for x in across for y in up] if self._fit.make_bleed is MakeBleed.MIRROR else []
        for (x, width), (y, height) in sorted(copies, key=lambda pair: -abs(pair[0][0]) - abs(pair[1][0])):
            if x or y:
                (a, e), (d, f) = self._reflected(x, self._across), self._reflected(y, self._up)
                yield Frame((a, 0.0, 0.0, d, e, f)), width, height
        yield Frame.moved(0.0, 0.0), self._across, self._up

    def _reflected(self, end: int, art: _Ends) -> _Ends:
        """Scale and shift along an axis: the line of reflection lies a hair inside of the art's edge."""
        if not end:
            return 1.0, 0.0
        return -1.0, 2 * (art[0] + self._seam if end < 0 else art[1] - self._seam)

    def _pixels(self, across: _Ends, up: _Ends) -> Window:
        """Left, top, right, bottom of the whole pixels that a part of the card touches."""
        corners = [self._shown.at(x, y) for x in across for y in up]
        columns, rows = zip(*corners, strict=True)
        low = math.floor(min(columns) + _HAIR), math.floor(min(rows) + _HAIR)
        return *low, math.ceil(max(columns) - _HAIR), math.ceil(max(rows) - _HAIR)
