"""Render finished sheets to pixels with pdfium, for the preview and the read-back check.

Every page is rendered once. This runs in a worker process only: pdfium must not share a process with threads
(pypdfium2's own warning) and cannot be interrupted.
"""

import math
from collections.abc import Callable, Container, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from typing import Any, NamedTuple

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
from numpy.typing import NDArray

from watcher.layout.geometry import Size
from watcher.layout.model import Place
from watcher.layout.register.alignment import is_identity
from watcher.sheet.check.downscaled_art import DownscaledArt, ShownArt, shown_arts
from watcher.sheet.draw.plan import SheetPage, SheetPlan, design_at, face_at
from watcher.sheet.draw.sheet_pdf import SheetFile
from watcher.sheet.frames import Frame, card_on_page, correcting
from watcher.terms import Copies, Side
from watcher.units import MM_PER_INCH, POINTS_PER_INCH, mm_to_points

PREVIEW_PPI = POINTS_PER_INCH
# Where something seems wrong: tried one after the other. Primes: the tile of a pattern in whole points, or in whole
# thirds or quarters of them, is at none of them a whole number of pixels, which a float may miss by a hair.
CLOSER_PPI = (211, 251, 163)
LONGEST_PX = 1600  # of one page; a larger sheet is shown at a lower resolution
# How many pixels small pictures have at least for each that is shown.
PIXELS_FOR_ONE = 4 / 3
CARD_HEIGHT_PX = 900  # with its caption the picture stays below 1000 px
CARD_WIDTH_PX = 1400
FINEST_CARD_PPI = 300  # a tiny card is not blown up beyond what it was exported at
DESIGN_PX = 420  # the longer side of each of several cards in one picture
CARDS_PX = 24_000_000  # of all of them together
MOST_DESIGNS = 300  # that are shown; more would be too small to read

Pixels = NDArray[np.uint8]
_WHITE = (255, 255, 255, 255)
_POINTS_IN_MM = mm_to_points(Fraction(1))


@dataclass(frozen=True, kw_only=True, eq=False)
class Rendered:
    """One side of a sheet, or of a card, as pixels.

    Attributes:
        side: the front or the back.
        form: the kind of sheet, or for a card the index in `SheetPlan.designs`; counted from 0.
        pixels: RGB, height x width x 3.
        size: what the pixels show, mm.
    """

    side: Side
    pixels: Pixels
    size: Size
    form: int = 0

    @property
    def page(self) -> SheetPage:
        """The page of the sheets that it shows."""
        return SheetPage(form=self.form, side=self.side)


class SheetRenderer:
    """Renders finished sheets: each different page, and each card by itself.

    Args:
        files: the finished files.
        plan: where on them the cards lie.
        ppi: resolution of the pages; less for large sheets.
        with_cards: whether the cards will be asked for.
        once: whether each art is decoded once and shown downscaled (`downscaled_art`); else pdfium draws it again at
            each place.
    """

    def __init__(
        self,
        files: Sequence[SheetFile],
        plan: SheetPlan,
        *,
        ppi: int = PREVIEW_PPI,
        with_cards: bool = False,
        once: bool = True,
    ) -> None:
        self._plan, self._per_mm, self._once = plan, _per_mm(plan.layout.sheet, ppi), once
        self._sources = [(file, DownscaledArt(file.pdf, file.page_tree)) for file in files]
        self._cards = _shown_cards(plan) if with_cards else {}
        self._card_per_mm = _card_scale(plan, sum(map(len, self._cards.values())))

    def cards(self, form: int = 0) -> tuple[Rendered, ...]:
        """Each side of the cards of a kind of sheet, cut out and upright; the front first.

        What lay on an earlier one is left out, and so is a side that a card shares with an earlier one.
        """
        plan, wanted = self._plan, self._cards.get(form, ())
        pages = self._drawn(form, self._card_per_mm) if wanted else ()
        seen = [
            Rendered(
                side=page.side,
                pixels=_card(drawn, plan, page, card.place, self._card_per_mm),
                size=plan.layout.trim,
                form=card.design,
            )
            for page, drawn in pages
            for card in wanted
            if card.side is page.side
        ]
        return tuple(sorted(seen, key=lambda one: one.form))  # each one's front before its back

    def pages(
        self,
        *,
        before: Callable[[int], object] | None = None,
        each: Callable[[tuple[Rendered, ...]], None] | None = None,
        kept: int | None = None,
        only: Container[int] | None = None,
    ) -> tuple[Rendered, ...]:
        """Render each different page once; of each kind of sheet the front first.

        Args:
            before: called with each kind of sheet before its pages; its cards are best asked for then.
            each: called with the pages of each kind of sheet in turn.
            kept: the pages of the first so many kinds of sheet are returned; None: of all. The pictures of hundreds of
                kinds would not fit into a worker's memory.
            only: the kinds of sheet that are rendered; None: all.
        """
        pages: list[Rendered] = []
        for form in range(len(self._plan.forms)):
            if only is None or form in only:
                if before is not None:
                    before(form)
                made = tuple(
                    _rendered(page, _whole(drawn, self._plan, page, self._per_mm), self._plan.layout.sheet)
                    for page, drawn in self._drawn(form, PIXELS_FOR_ONE * self._per_mm)
                )
                if each is not None:
                    each(made)
                pages += made if kept is None or form < kept else ()
        return tuple(pages)

    def _drawn(self, form: int, per_mm: float) -> Iterator[tuple[SheetPage, Any]]:
        """The pages of a kind of sheet, opened by pdfium, their art with at least `per_mm` pixels per mm."""
        for file, source in self._sources:
            on_it = [(page, index) for page, index in _first_of_each(file, self._plan) if page.form == form]
            if on_it:
                shown = _shown(file, self._plan, [page for page, _ in on_it]) if self._once else ()
                source.take(shown, self._finest(form))
                with source.document(shown, per_mm) as document:
                    for page, index in on_it:
                        with closing(document[index]) as drawn:
                            yield page, drawn

    def _finest(self, form: int) -> list[float]:
        """The resolutions in which art is wanted, so that it is decoded once for all of them."""
        for_cards = [self._card_per_mm] if form in self._cards else []
        return [PIXELS_FOR_ONE * self._per_mm, *for_cards]


def _shown(file: SheetFile, plan: SheetPlan, pages: Sequence[SheetPage]) -> tuple[ShownArt, ...]:
    """The art that these pages show."""
    lying = [face_at(plan, page, place) for place in plan.layout.places for page in pages]
    return shown_arts(file.arts, dict.fromkeys(found[1] for found in lying if found is not None))


def _rendered(page: SheetPage, pixels: Pixels, size: Size) -> Rendered:
    return Rendered(side=page.side, pixels=pixels, size=size, form=page.form)


def _first_of_each(file: SheetFile, plan: SheetPlan) -> Iterator[tuple[SheetPage, int]]:
    """Each different page, and its first index in the file."""
    start = 0
    for page in file.pages:
        yield page, start + file.sides.index(page.side)
        if page.side is file.sides[-1]:
            start += len(file.sides) * (plan.forms[page.form].sheets if plan.copies is Copies.PAGES else 1)


def _per_mm(sheet: Size, ppi: int) -> float:
    """Pixels for a mm of a page."""
    longest = float(max(sheet.width, sheet.height))
    return ppi / PREVIEW_PPI * min(PREVIEW_PPI / POINTS_PER_INCH * float(_POINTS_IN_MM), LONGEST_PX / longest)


def page_px(plan: SheetPlan) -> tuple[int, int]:
    """Width and height of a page of the preview, pixels."""
    sheet, per_mm = plan.layout.sheet, _per_mm(plan.layout.sheet, PREVIEW_PPI)
    return math.ceil(float(sheet.width) * per_mm), math.ceil(float(sheet.height) * per_mm)


def _whole(page: Any, plan: SheetPlan, sheet_page: SheetPage, per_mm: float) -> Pixels:
    """The page as it comes to lie on the paper: as the printer does, this undoes the correction of a back page.

    pdfium draws slightly turned pictures up to two pixels off their place; without the correction none are.
    """
    scale = per_mm / float(_POINTS_IN_MM)
    correction = plan.correction if sheet_page.side is Side.BACK else None
    if correction is None or is_identity(correction):
        with closing(page.render(scale=scale, rev_byteorder=True, draw_annots=False)) as bitmap:
            return _copied(bitmap)
    sheet = plan.layout.sheet
    width, height = (math.ceil(length * scale) for length in page.get_size())
    on_paper = Frame.scaled(width / float(sheet.width), height / float(sheet.height))
    return _drawn(page, on_paper.after(correcting(correction, sheet).inverse), sheet, (width, height))


class _ShownCard(NamedTuple):
    """A side of a card that is shown by itself: its index in `SheetPlan.designs`, and where it lies."""

    design: int
    side: Side
    place: Place


def _shown_cards(plan: SheetPlan) -> dict[int, tuple[_ShownCard, ...]]:
    """For each kind of sheet the cards shown of it: each side of each design once, where it lies first."""
    numbers = {id(design): number for number, design in enumerate(plan.designs[:MOST_DESIGNS])}
    shown: dict[int, tuple[_ShownCard, ...]] = {}
    seen: set[tuple[Side, int]] = set()
    for form, place, side in product(range(len(plan.forms)), plan.layout.places, Side):
        design = design_at(plan, form, place)
        face = design.face(side) if design is not None else None
        if face is not None and id(design) in numbers and (side, id(face.art.content)) not in seen:
            seen.add((side, id(face.art.content)))
            shown[form] = (*shown.get(form, ()), _ShownCard(numbers[id(design)], side, place))
    return shown


def _card_scale(plan: SheetPlan, shown: int) -> float:
    """Pixels per mm of a card shown by itself; less where many sides are shown."""
    trim = plan.layout.trim
    width, height, finest = float(trim.width), float(trim.height), FINEST_CARD_PPI / float(MM_PER_INCH)
    if len(plan.designs) == 1:
        return min(CARD_HEIGHT_PX / height, CARD_WIDTH_PX / width, finest)
    return min(DESIGN_PX / max(width, height), math.sqrt(CARDS_PX / max(1, shown) / width / height), finest)


def _card(page: Any, plan: SheetPlan, sheet_page: SheetPage, place: Place, per_mm: float) -> Pixels:
    """The card at a place of that page, trimmed and upright whichever way it lies on the sheet."""
    trim = plan.layout.trim
    width, height = (max(1, round(float(length) * per_mm)) for length in (trim.width, trim.height))
    face = place.front if sheet_page.side is Side.FRONT else place.back
    assert face is not None  # something lies there
    correction = plan.correction if sheet_page.side is Side.BACK else None
    on_page = card_on_page(face, correction, plan.layout.sheet)
    shown = Frame.scaled(width / float(trim.width), height / float(trim.height)).after(on_page.inverse)
    return _drawn(page, shown, plan.layout.sheet, (width, height))


def _drawn(page: Any, shown: Frame, sheet: Size, size_px: tuple[int, int]) -> Pixels:
    """The page drawn so that `shown` (mm of the page, y up, to pixels from the lower left) holds.

    pdfium's matrix starts from the page as it would be drawn at one pixel a point, y down.
    """
    width, height = size_px
    points = float(_POINTS_IN_MM)
    from_device = Frame((1 / points, 0.0, 0.0, -1 / points, 0.0, float(sheet.height)))
    to_bitmap = Frame((1.0, 0.0, 0.0, -1.0, 0.0, float(height)))
    matrix = pdfium.FS_MATRIX(*to_bitmap.after(shown).after(from_device).numbers)
    clip = pdfium.FS_RECTF(0, 0, width, height)
    with closing(pypdfium2.PdfBitmap.new_native(width, height, pdfium.FPDFBitmap_BGR)) as bitmap:
        bitmap.fill_rect(_WHITE, 0, 0, width, height)
        pdfium.FPDF_RenderPageBitmapWithMatrix(bitmap, page, matrix, clip, pdfium.FPDF_REVERSE_BYTE_ORDER)
        return _copied(bitmap)


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
