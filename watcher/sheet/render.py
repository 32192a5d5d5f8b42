"""The finished sheet as pixels, rendered from the bytes of its PDF by pdfium: for the preview and the read-back check.

Every page is rendered once. Runs in a worker process only, since pdfium must not share a process with threads
(pypdfium2's own warning) and cannot be stopped.
"""

from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
from numpy.typing import NDArray

from watcher.layout.geometry import Size
from watcher.sheet.draw import SheetFile, SheetPlan, face_at
from watcher.sheet.frames import Frame, card_on_page
from watcher.terms import Side
from watcher.units import POINTS_PER_INCH, mm_to_points

PREVIEW_PPI = POINTS_PER_INCH
LONGEST_PX = 1600  # of one page; a larger sheet is shown at a lower resolution
CARD_HEIGHT_PX = 900  # with its caption the picture stays below 1000 px
CARD_WIDTH_PX = 1400
FINEST_CARD_PPI = 300  # a tiny card is not blown up beyond what it was exported at

Pixels = NDArray[np.uint8]
_WHITE = (255, 255, 255, 255)
_POINTS_IN_MM = mm_to_points(Fraction(1))


@dataclass(frozen=True, kw_only=True, eq=False)
class Rendered:
    """One side of the sheet, or of the card, as pixels.

    Attributes:
        side: which.
        pixels: RGB, height x width x 3.
        size: what the pixels show, mm.
    """

    side: Side
    pixels: Pixels
    size: Size


@dataclass(frozen=True, kw_only=True)
class SheetPictures:
    """What a finished order looks like.

    Attributes:
        pages: each side of the sheet, front first.
        cards: each side of one card as it is when it is cut, upright; empty when not asked for.
    """

    pages: tuple[Rendered, ...]
    cards: tuple[Rendered, ...]


def render_sheets(files: Sequence[SheetFile], plan: SheetPlan, *, with_cards: bool = True) -> SheetPictures:
    """Renders each side of the sheet once, and one card of it, which costs little more.

    Args:
        files: the finished files.
        plan: where on them the cards lie.
        with_cards: whether the card is wanted by itself.
    """
    pages: list[Rendered] = []
    cards: list[Rendered] = []
    for side, pdf, index in _sides(files):
        with closing(pypdfium2.PdfDocument(pdf)) as document, closing(document[index]) as page:
            pages.append(Rendered(side=side, pixels=_whole(page), size=plan.layout.sheet))
            if with_cards:
                cards.append(Rendered(side=side, pixels=_card(page, plan, side), size=plan.layout.trim))
    return SheetPictures(pages=tuple(pages), cards=tuple(cards))


def _sides(files: Sequence[SheetFile]) -> Iterator[tuple[Side, bytes, int]]:
    """The first page of each side."""
    for side in Side:
        for file in files:
            if side in file.sides:
                yield side, file.pdf, file.sides.index(side)
                break


def _whole(page: Any) -> Pixels:
    scale = min(PREVIEW_PPI / POINTS_PER_INCH, LONGEST_PX / max(page.get_size()))
    with closing(page.render(scale=scale, rev_byteorder=True, draw_annots=False)) as bitmap:
        return _copied(bitmap)


def _card(page: Any, plan: SheetPlan, side: Side) -> Pixels:
    """The first card of that side, trimmed and upright whichever way it lies on the sheet."""
    trim = plan.layout.trim
    finest = FINEST_CARD_PPI / POINTS_PER_INCH * float(_POINTS_IN_MM)
    per_mm = min(CARD_HEIGHT_PX / float(trim.height), CARD_WIDTH_PX / float(trim.width), finest)
    width, height = (max(1, round(float(length) * per_mm)) for length in (trim.width, trim.height))
    face = next(found[0] for place in plan.layout.places if (found := face_at(plan, place, side)))
    correction = plan.correction if side is Side.BACK else None
    on_page = card_on_page(face, correction, plan.layout.sheet)
    shown = Frame.scaled(width / float(trim.width), height / float(trim.height)).after(on_page.inverse)
    with closing(pypdfium2.PdfBitmap.new_native(width, height, pdfium.FPDFBitmap_BGR)) as bitmap:
        bitmap.fill_rect(_WHITE, 0, 0, width, height)
        _draw(bitmap, page, shown, plan.layout.sheet, height)
        return _copied(bitmap)


def _draw(bitmap: Any, page: Any, shown: Frame, sheet: Size, height: int) -> None:
    """Draws the page so that `shown` (mm of the page, y up, to pixels from the lower left) holds.

    pdfium's matrix starts from the page as it would be drawn at one pixel a point, y down.
    """
    points = float(_POINTS_IN_MM)
    from_device = Frame((1 / points, 0.0, 0.0, -1 / points, 0.0, float(sheet.height)))
    to_bitmap = Frame((1.0, 0.0, 0.0, -1.0, 0.0, float(height)))
    matrix = pdfium.FS_MATRIX(*to_bitmap.after(shown).after(from_device).numbers)
    clip = pdfium.FS_RECTF(0, 0, bitmap.width, bitmap.height)
    pdfium.FPDF_RenderPageBitmapWithMatrix(bitmap, page, matrix, clip, pdfium.FPDF_REVERSE_BYTE_ORDER)


def _copied(bitmap: Any) -> Pixels:
    """The bitmap's pixels as RGB: its own memory ends with it."""
    pixels: Pixels = bitmap.to_numpy()
    if pixels.ndim == 2 or pixels.shape[2] == 1:
        return np.repeat(pixels.reshape(*pixels.shape[:2], 1), 3, axis=2)
    return np.ascontiguousarray(pixels[:, :, :3])


def page_scale(rendered: Rendered) -> tuple[float, float]:
    """Pixels per mm across and up: pdfium rounds the size of a page up to whole pixels."""
    height, width, _ = rendered.pixels.shape
    return width / float(rendered.size.width), height / float(rendered.size.height)
