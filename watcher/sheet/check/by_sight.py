"""Compare a rendered sheet with its art, place by place: the read-back check by sight.

The rendering and the picture made from the art never agree exactly: the renderer rounds pictures to whole pixels, and
every scaling averages in its own way. Both are compared in steps of three rendered pixels (`STEP`, 1.06 mm at the
preview's resolution), and two questions are asked at every place.

1. Is a colour there that the art does not have nearby? A step is foreign when a colour of it lies more than
   `FOREIGN_LEVELS` levels outside the range of the art within one rendered pixel (0.35 mm). The place is wrong when
   more than `MOST_FOREIGN` steps are foreign. This finds missing, clipped and wrong cards, and cards that are moved or
   turned in a design with contrast.
2. Would the art fit better otherwise: one step further left, right, up or down, on its head, mirrored, the other side,
   bare paper, or bare paper along one edge? Only steps in which the two ways differ by `TELLING_LEVELS` levels are
   compared. The place is wrong when in these the expected art is `LEAST_WRONG` levels off on average and
   `LEAST_OUTSIDE` levels outside its range nearby, and the other way is off by less than `MOST_OF_OWN` of that.

A corrected back page is rendered as it comes to lie on the paper (`render.py`), so nothing is turned here. Whether the
correction itself is right is checked in numbers alone.

Measured over the drawn designs of tests/sheet/conftest.py on cards of three sizes, in nine forms of file: no false
alarm, and each fault of the writer found that shows at all. An error of 1 mm is found, a third of that is not. What is
fainter than 12 of 255 levels, and a pattern that repeats every millimetre, cannot be judged by sight. Nor can what the
art does not show: a blank card may lie on its head. The check in numbers (`in_numbers.py`) finds that too, to 0.01 mm.
"""

import math
from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from watcher.art.model import CardFace, VectorPage
from watcher.layout.geometry import Box
from watcher.layout.marks.crop_marks import marks_behind
from watcher.layout.model import Layout, Mark, Place
from watcher.sheet.check.expected import Expected, expected_face
from watcher.sheet.check.in_numbers import SheetWrong
from watcher.sheet.check.in_place import ArtInPlace, Window
from watcher.sheet.check.neighbours import Pixels
from watcher.sheet.check.render import CLOSER_PPI, PREVIEW_PPI, Rendered, SheetRenderer, page_scale
from watcher.sheet.draw.plan import SheetPage, SheetPlan, design_at, face_at
from watcher.sheet.draw.sheet_pdf import SheetFile
from watcher.sheet.frames import Frame, card_on_page
from watcher.terms import Side
from watcher.units import MM_PER_INCH

STEP = 3  # rendered pixels that are looked at as one
FOREIGN_LEVELS = 40
MOST_FOREIGN = 6
TELLING_LEVELS = 12
LEAST_TELLING = 8  # steps that must tell two ways apart
SIDES_DIFFER = 0.05  # of the card on which two sides must differ: fine patterns differ a little by scaling alone
LEAST_WRONG, LEAST_OUTSIDE = 12.0, 3.0
MOST_OF_OWN = 0.45

_PAPER = 255
_PREVIEW_PER_MM = PREVIEW_PPI / float(MM_PER_INCH)

Part = tuple[slice, slice]


@dataclass(frozen=True, kw_only=True)
class WrongPlace:
    """A place on a page that does not show its card as it should, and the fault in words."""

    page: SheetPage
    place: int
    fault: str

    def __str__(self) -> str:
        return f"card {self.place} on the {self.page.side} page {self.fault}"


class LooksWrong(SheetWrong):
    """A finished sheet does not look like its art.

    Attributes:
        places: the places that are wrong.
    """

    def __init__(self, places: Sequence[WrongPlace]) -> None:
        super().__init__(str(places[0]))
        self.places = tuple(places)

    def __reduce__(self) -> tuple[type, tuple[tuple[WrongPlace, ...]]]:  # type: ignore[override]  # of other arguments
        return type(self), (self.places,)


class Wanted(Protocol):
    """The expected look of a part of the page, in steps.

    Attributes:
        darkest, lightest: the least and most that each colour comes to within one rendered pixel.
        picture: the average.
        pixels: not averaged, `STEP` times as many each way.
    """

    @property
    def darkest(self) -> Pixels: ...  # noqa: D102  # told above
    @property
    def lightest(self) -> Pixels: ...  # noqa: D102
    @property
    def picture(self) -> Pixels: ...  # noqa: D102
    @property
    def pixels(self) -> Pixels: ...  # noqa: D102


@dataclass(frozen=True, kw_only=True, eq=False)
class _PlacedFace:
    """The expected picture of a face, placed into a window of the page.

    Attributes:
        expected: the face.
        to_picture: brings the window's steps onto the pixels of that face.
        size: width and height of the window, steps.
    """

    expected: Expected
    to_picture: Frame
    size: tuple[int, int]

    @property
    def darkest(self) -> Pixels:
        return self._placed(self.expected.darkest)

    @property
    def lightest(self) -> Pixels:
        return self._placed(self.expected.lightest)

    @property
    def picture(self) -> Pixels:
        return self._placed(self.expected.picture)

    @property
    def pixels(self) -> Pixels:
        return self._placed(Image.fromarray(self.expected.canvas), STEP)

    def _placed(self, picture: Image.Image, finer: int = 1) -> Pixels:
        a, b, c, d, e, f = self.to_picture.after(Frame.scaled(1 / finer, 1 / finer)).numbers
        size = self.size[0] * finer, self.size[1] * finer
        laid = picture.transform(size, Image.Transform.AFFINE, (a, c, e, b, d, f), Image.Resampling.BILINEAR)
        return np.asarray(laid)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Patch:
    """The expected look of one place on the page.

    Attributes:
        window: left, top, right, bottom on the page, in steps.
        wanted: what should be there.
        mask: which steps count: those inside the bleed box that no mark touches.
        card: the part of the window that is the trim.
    """

    window: Window
    wanted: Wanted
    mask: NDArray[np.bool_]
    card: Part

    def cut(self, seen: Pixels) -> Pixels:
        """The window cut out of a page."""
        left, top, right, bottom = self.window
        return seen[top:bottom, left:right]

    def outside(self, seen: Pixels) -> Pixels:
        """By how many levels each step is darker or lighter than the art allows; 0 where it does not count."""
        low, high = self.wanted.darkest, self.wanted.lightest
        far = np.maximum(np.maximum(low, seen) - seen, np.maximum(seen, high) - high)
        return _greatest(far) * self.mask


def check_by_sight(pages: Sequence[Rendered], *, files: Sequence[SheetFile], plan: SheetPlan) -> None:
    """Compare sheets with the art; a place is wrong only if it is wrong at every resolution.

    At the preview's resolution hairlines and pictures of two tones depend on where pixels begin. At three times that
    they do not, and real faults show better. PDF art is compared with its own file drawn at the same place
    (`in_place`), for patterns are rounded at any resolution. A rounding error is gone at the next resolution; a real
    fault is there at all of them.

    Raises:
        LooksWrong: places do not show their cards, whole and turned right.
    """
    suspects = wrong_places(pages, plan)
    for ppi in CLOSER_PPI:
        if not suspects:
            return
        suspects = _closer(suspects, files, plan, ppi)
    if suspects:
        raise LooksWrong(suspects)


def wrong_places(
    pages: Iterable[Rendered],
    plan: SheetPlan,
    *,
    only: Container[tuple[SheetPage, int]] | None = None,
    in_place: bool = False,
) -> list[WrongPlace]:
    """The places of rendered pages that do not show their cards, whole and turned right.

    Args:
        pages: what was rendered.
        plan: what it should be.
        only: the pages and numbers of places to check; None: all.
        in_place: compare PDF art with its own file drawn at the same place, and not with one picture of it.
    """
    faces: dict[int, Expected] = {}
    with ArtInPlace(plan.layout.trim) as drawn:
        checks = [_PageCheck(page, plan, faces, drawn if in_place else None) for page in pages]
        return [found for check in checks for found in check.run(only)]


def _closer(suspects: Sequence[WrongPlace], files: Sequence[SheetFile], plan: SheetPlan, ppi: int) -> list[WrongPlace]:
    """The suspects that do not show their art at another resolution either."""
    places = {(one.page, one.place) for one in suspects}
    found: list[WrongPlace] = []

    def compare(pages: tuple[Rendered, ...]) -> None:
        found.extend(wrong_places(pages, plan, only=places, in_place=True))

    closer = SheetRenderer(files, plan, ppi=ppi, once=False)
    closer.pages(each=compare, kept=0, only={page.form for page, _ in places})
    return found


def wanted_pages(pages: Sequence[Rendered], plan: SheetPlan) -> tuple[Rendered, ...]:
    """The expected look of every page, without marks and small print, for comparison beside the rendering."""
    faces: dict[int, Expected] = {}
    return tuple(replace(page, pixels=_PageCheck(page, plan, faces).wanted()) for page in pages)


def seen_and_wanted(page: Rendered, plan: SheetPlan, place: int) -> tuple[Window, Pixels]:
    """The window of a place on a rendered page, pixels, and the expected pixels there."""
    with ArtInPlace(plan.layout.trim) as drawn:
        return _PageCheck(page, plan, {}, drawn).shown(place)


class _PageCheck:
    """The check of one page.

    Args:
        page: what was rendered.
        plan: what it should be.
        faces: a cache of expected faces, shared by the pages.
        in_place: draws PDF art at its place; None where one picture of it is enough.
    """

    def __init__(
        self, page: Rendered, plan: SheetPlan, faces: dict[int, Expected], in_place: ArtInPlace | None = None
    ) -> None:
        self._in_place = in_place
        self._page, self._plan, self._side, self._faces = page, plan, page.side, faces
        across, up = page_scale(page)
        height = float(plan.layout.sheet.height)
        self._per_mm = max(across, up)
        self._few = (
            MOST_FOREIGN * max(1.0, self._per_mm / _PREVIEW_PER_MM) ** 2
        )  # the same area, however fine the steps
        self._steps = Frame((across / STEP, 0.0, 0.0, -up / STEP, 0.0, height * up / STEP))
        self._seen = np.asarray(Image.fromarray(page.pixels).reduce(STEP))
        height_px, width_px = self._seen.shape[:2]
        self._free = _free_of_marks(plan.layout, plan.marks, self._side, self._steps, (height_px, width_px))

    def run(self, only: Container[tuple[SheetPage, int]] | None = None) -> Iterator[WrongPlace]:
        """Check every place, or those in `only`, and yield the wrong ones."""
        for place in self._plan.layout.places:
            if only is None or (self._page.page, place.number) in only:
                patch = self._patch(place)
                fault = self._fault(patch, place) if patch is not None else None
                if fault:
                    yield WrongPlace(page=self._page.page, place=place.number, fault=fault)

    def _fault(self, patch: _Patch, place: Place) -> str | None:
        seen = patch.cut(self._seen)
        outside = patch.outside(seen)
        if np.count_nonzero(outside > LEAST_OUTSIDE) <= self._few:  # nearly always: there is nothing to ask about
            return None
        art = patch.wanted.picture
        for way, other, part in self._other_ways(patch, art, place):
            telling = patch.mask[part] & (_distance(art[part], other[part]) > TELLING_LEVELS)
            if np.count_nonzero(telling) >= LEAST_TELLING and float(outside[part][telling].mean()) >= LEAST_OUTSIDE:
                own = float(_distance(seen[part], art[part])[telling].mean())
                its = float(_distance(seen[part], other[part])[telling].mean())
                if own >= LEAST_WRONG and its < MOST_OF_OWN * own:
                    return way
        foreign = np.count_nonzero(outside > FOREIGN_LEVELS)
        return "does not show its art, or not all of it" if foreign > self._few else None

    def _other_ways(self, patch: _Patch, art: Pixels, place: Place) -> Iterator[tuple[str, Pixels, Part]]:
        """Each way in which the card might be wrong: in words, as pixels, and the part of the window to compare."""
        card, all_of_it = patch.card, (slice(None), slice(None))
        for way, turned in (
            ("is on its head", np.s_[::-1, ::-1]),
            ("is mirrored", np.s_[:, ::-1]),
            ("is mirrored", np.s_[::-1]),
        ):
            other = art.copy()
            other[card] = art[card][turned]
            yield way, other, card
        for axis, step in ((0, 1), (0, -1), (1, 1), (1, -1)):
            yield "does not lie where it should", np.roll(art, step, axis), _without_end(axis, step)
        other_side = self._other_side(place)
        if other_side is not None:
            other = other_side.wanted.picture
            if np.count_nonzero(_distance(art, other) > TELLING_LEVELS) >= SIDES_DIFFER * patch.mask.size:
                yield f"shows the {self._side.other}", other, all_of_it
        paper = np.full_like(art, _PAPER)
        yield "is missing", paper, all_of_it
        for edge in (np.s_[:1, :], np.s_[-1:, :], np.s_[:, :1], np.s_[:, -1:]):
            yield "is clipped", paper, edge

    def _other_side(self, place: Place) -> _Patch | None:
        design = design_at(self._plan, self._page.form, place)
        if design is None or design.back is None or design.front.art.content == design.back.art.content:
            return None
        return self._patch(place, design.face(self._side.other))

    def _patch(self, place: Place, instead: CardFace | None = None) -> _Patch | None:
        """The expected look of a place; with `instead`, its look with that face in place of its own."""
        lying = face_at(self._plan, self._page.page, place)
        if lying is None:
            return None
        face, card = lying
        window = self._window(face.bleed_box)
        left, top, right, bottom = window
        trim = self._window(face.trim)
        return _Patch(
            window=window,
            wanted=self._wanted(
                instead or card, self._steps.after(card_on_page(face, None, self._plan.layout.sheet)), window
            ),
            mask=self._free[top:bottom, left:right],
            card=np.s_[trim[1] - top : trim[3] - top, trim[0] - left : trim[2] - left],
        )

    def _wanted(self, card: CardFace, on_steps: Frame, window: Window) -> Wanted:
        """The expected look of a window; `on_steps` brings the card's mm onto the page's steps."""
        if self._in_place is not None and isinstance(card.art.content, VectorPage):
            return self._in_place.wanted(card, Frame.scaled(STEP, STEP).after(on_steps), window, STEP)
        left, top, right, bottom = window
        expected = self._face(card)
        to_picture = self._onto_pixels(expected, card).after(on_steps.inverse).after(Frame.moved(left, top))
        return _PlacedFace(expected=expected, to_picture=to_picture, size=(right - left, bottom - top))

    def _face(self, card: CardFace) -> Expected:
        if id(card) not in self._faces:
            self._faces[id(card)] = expected_face(card, self._plan.layout.trim, self._per_mm)
        return self._faces[id(card)]

    def _onto_pixels(self, expected: Expected, card: CardFace) -> Frame:
        """Brings the card's axes (mm) onto the pixels of its expected picture."""
        per_mm, bleed = expected.per_mm, float(card.fit.bleed)
        top = float(self._plan.layout.trim.height) + bleed
        return Frame((per_mm, 0.0, 0.0, -per_mm, bleed * per_mm, top * per_mm))

    def _window(self, box: Box) -> Window:
        """Left, top, right, bottom of the whole steps inside a box of the page."""
        across, down = zip(*_corners(self._steps, box), strict=True)
        height, width = self._seen.shape[:2]
        left, top = max(0, math.ceil(min(across))), max(0, math.ceil(min(down)))
        right, bottom = min(width, math.floor(max(across))), min(height, math.floor(max(down)))
        return left, top, max(left, right), max(top, bottom)

    def shown(self, number: int) -> tuple[Window, Pixels]:
        """The window of a place in pixels, and the expected pixels there."""
        patch = self._patch(next(place for place in self._plan.layout.places if place.number == number))
        assert patch is not None  # it was found wrong
        left, top, right, bottom = (STEP * at for at in patch.window)
        return (left, top, right, bottom), patch.wanted.pixels

    def wanted(self) -> Pixels:
        """The expected look of the whole page."""
        height, width = self._seen.shape[:2]
        page = np.full((height, width, 3), _PAPER, np.uint8)
        for place in self._plan.layout.places:
            patch = self._patch(place)
            if patch is not None:
                patch.cut(page)[patch.mask] = patch.wanted.picture[patch.mask]
        return np.repeat(np.repeat(page, STEP, axis=0), STEP, axis=1)


def _corners(steps: Frame, box: Box) -> list[tuple[float, float]]:
    corners = ((box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top))
    return [steps.at(float(x), float(y)) for x, y in corners]


@lru_cache(maxsize=32)  # the same from order to order
def _free_of_marks(
    layout: Layout, marks: tuple[Mark, ...], side: Side, steps: Frame, shape: tuple[int, int]
) -> NDArray[np.bool_]:
    """The steps of a page that no mark touches; `steps` brings mm onto them, `shape`: how many down and across."""
    if side is Side.BACK and layout.flip is not None:
        marks = marks_behind(marks, layout.sheet, layout.flip)
    free = np.ones(shape, np.bool_)
    for mark in marks:
        ends = Box.around([Box(end.x, end.y, end.x, end.y) for end in (mark.start, mark.end)])
        across, down = zip(*_corners(steps, ends), strict=True)
        rows = slice(max(0, math.floor(min(down)) - 1), math.floor(max(down)) + 2)
        free[rows, max(0, math.floor(min(across)) - 1) : math.floor(max(across)) + 2] = False
    free.flags.writeable = False
    return free


def _distance(one: Pixels, other: Pixels) -> Pixels:
    return _greatest(np.maximum(one, other) - np.minimum(one, other))


def _greatest(pixels: Pixels) -> Pixels:
    """The greatest of the three colours of each pixel."""
    return np.asarray(np.maximum(np.maximum(pixels[:, :, 0], pixels[:, :, 1]), pixels[:, :, 2]))


def _without_end(axis: int, step: int) -> Part:
    """All of an image but the row or column that a shift brings in from the far end."""
    kept = slice(step, None) if step > 0 else slice(None, step)
    return (kept, slice(None)) if axis == 0 else (slice(None), kept)
