"""The expected look of the places of a rendered page, in steps of a few pixels.

What is expected is a picture of the art, scaled once and laid over each place; or, where that is asked for, PDF art
drawn at the very place (`in_place`).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from watcher.art.model import CardFace, VectorPage
from watcher.layout.geometry import Box
from watcher.layout.marks.crop_marks import marks_behind
from watcher.layout.model import Layout, Mark, Place
from watcher.sheet.check.displacement import Levels
from watcher.sheet.check.expected import Expected, expected_face
from watcher.sheet.check.extended_bleed import comparable_box
from watcher.sheet.check.in_place import ArtInPlace, Window
from watcher.sheet.check.neighbours import Pixels
from watcher.sheet.check.render import Rendered, page_scale
from watcher.sheet.draw.plan import SheetPlan, face_at
from watcher.sheet.frames import Frame, card_on_page
from watcher.terms import MakeBleed, Side

STEP = 3  # rendered pixels that are looked at as one
PAPER = 255
Part = tuple[slice, slice]


class Wanted(Protocol):
    """The expected look of a part of the page, in steps.

    Attributes:
        darkest, lightest: the least and most that each colour comes to within one rendered pixel.
        picture: the average.
        grey: the average of about each step and of its colours.
        pixels: not averaged, `STEP` times as many each way.
    """

    @property
    def darkest(self) -> Pixels: ...  # noqa: D102  # told above
    @property
    def lightest(self) -> Pixels: ...  # noqa: D102
    @property
    def picture(self) -> Pixels: ...  # noqa: D102
    @property
    def grey(self) -> Levels: ...  # noqa: D102
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
    def grey(self) -> Levels:
        return self._placed(self.expected.grey)

    @property
    def pixels(self) -> Pixels:
        return self._placed(Image.fromarray(self.expected.canvas), STEP)

    def _placed(self, picture: Image.Image, finer: int = 1) -> NDArray[Any]:
        a, b, c, d, e, f = self.to_picture.after(Frame.scaled(1 / finer, 1 / finer)).numbers
        size = self.size[0] * finer, self.size[1] * finer
        laid = picture.transform(size, Image.Transform.AFFINE, (a, c, e, b, d, f), Image.Resampling.BILINEAR)
        return np.asarray(laid)


@dataclass(frozen=True, kw_only=True, eq=False)
class ExpectedPlace:
    """The expected look of one place on a page.

    Attributes:
        window: left, top, right, bottom on the page, in steps.
        wanted: what should be there.
        mask: which steps count: those inside the bleed box that no mark touches.
        certain: those of them that look as the art says: not bleed that an edge is extended into.
        card: the part of the window that is the trim.
    """

    window: Window
    wanted: Wanted
    mask: NDArray[np.bool_]
    certain: NDArray[np.bool_]
    card: Part

    def cut(self, seen: Pixels) -> Pixels:
        """The window cut out of a page."""
        left, top, right, bottom = self.window
        return seen[top:bottom, left:right]


class ExpectedPage:
    """The expected look of one page, place by place.

    Args:
        page: what was rendered.
        plan: what it should be.
        faces: a cache of expected faces, shared by the pages.
        in_place: draws PDF art at its place; None where one picture of it is enough.

    Attributes:
        page: what was rendered.
        plan: what it should be.
        seen: what was rendered, in steps.
        in_place: draws PDF art at its place.
        per_mm: pixels of the page, the finer way.
    """

    def __init__(
        self, page: Rendered, plan: SheetPlan, faces: dict[int, Expected], in_place: ArtInPlace | None = None
    ) -> None:
        self.page, self.plan = page, plan
        self._faces, self.in_place = faces, in_place
        across, up = page_scale(page)
        height = float(plan.layout.sheet.height)
        self.per_mm = max(across, up)
        self._steps = Frame((across / STEP, 0.0, 0.0, -up / STEP, 0.0, height * up / STEP))
        self.seen = np.asarray(Image.fromarray(page.pixels).reduce(STEP))
        height_px, width_px = self.seen.shape[:2]
        self._free = _free_of_marks(plan.layout, plan.marks, page.side, self._steps, (height_px, width_px))

    def place(self, place: Place, instead: CardFace | None = None) -> ExpectedPlace | None:
        """The expected look of a place; with `instead`, its look with that face in place of its own."""
        lying = face_at(self.plan, self.page.page, place)
        if lying is None:
            return None
        face, card = lying
        window = self._window(self._steps, face.bleed_box)
        left, top, right, bottom = window
        trim = self._window(self._steps, face.trim)
        on_steps = self._steps.after(card_on_page(face, None, self.plan.layout.sheet))
        return ExpectedPlace(
            window=window,
            wanted=self._wanted(instead or card, on_steps, window),
            mask=self._free[top:bottom, left:right],
            certain=self._certain(card, on_steps, window),
            card=np.s_[trim[1] - top : trim[3] - top, trim[0] - left : trim[2] - left],
        )

    def _certain(self, card: CardFace, on_steps: Frame, window: Window) -> NDArray[np.bool_]:
        """The steps of a window that look as the art says; `on_steps` brings the card's mm onto the page's steps."""
        left, top, right, bottom = window
        free = self._free[top:bottom, left:right]
        if card.fit.make_bleed is not MakeBleed.EXTEND:
            return free
        first, highest, last, lowest = self._window(on_steps, comparable_box(card.fit, self.plan.layout.trim))
        certain = np.zeros_like(free)
        kept = np.s_[max(0, highest - top) : lowest - top, max(0, first - left) : last - left]
        certain[kept] = free[kept]
        return certain

    def _wanted(self, card: CardFace, on_steps: Frame, window: Window) -> Wanted:
        """The expected look of a window; `on_steps` brings the card's mm onto the page's steps."""
        if self.in_place is not None and isinstance(card.art.content, VectorPage):
            return self.in_place.wanted(card, Frame.scaled(STEP, STEP).after(on_steps), window, STEP)
        left, top, right, bottom = window
        expected = self._face(card)
        to_picture = self._onto_pixels(expected, card).after(on_steps.inverse).after(Frame.moved(left, top))
        return _PlacedFace(expected=expected, to_picture=to_picture, size=(right - left, bottom - top))

    def _face(self, card: CardFace) -> Expected:
        if id(card) not in self._faces:
            self._faces[id(card)] = expected_face(card, self.plan.layout.trim, self.per_mm)
        return self._faces[id(card)]

    def _onto_pixels(self, expected: Expected, card: CardFace) -> Frame:
        """Brings the card's axes (mm) onto the pixels of its expected picture."""
        per_mm, bleed = expected.per_mm, float(card.fit.bleed)
        top = float(self.plan.layout.trim.height) + bleed
        return Frame((per_mm, 0.0, 0.0, -per_mm, bleed * per_mm, top * per_mm))

    def _window(self, onto: Frame, box: Box) -> Window:
        """Left, top, right, bottom of the whole steps inside a box; `onto` brings it onto the page's steps."""
        across, down = zip(*_corners(onto, box), strict=True)
        height, width = self.seen.shape[:2]
        left, top = max(0, math.ceil(min(across))), max(0, math.ceil(min(down)))
        right, bottom = min(width, math.floor(max(across))), min(height, math.floor(max(down)))
        return left, top, max(left, right), max(top, bottom)

    def shown(self, number: int) -> tuple[Window, Pixels]:
        """The window of a place in pixels, and the expected pixels there."""
        expected = self.place(next(place for place in self.plan.layout.places if place.number == number))
        assert expected is not None  # it was found wrong
        left, top, right, bottom = (STEP * at for at in expected.window)
        return (left, top, right, bottom), expected.wanted.pixels

    def wanted(self) -> Pixels:
        """The expected look of the whole page."""
        height, width = self.seen.shape[:2]
        page = np.full((height, width, 3), PAPER, np.uint8)
        for place in self.plan.layout.places:
            expected = self.place(place)
            if expected is not None:
                expected.cut(page)[expected.mask] = expected.wanted.picture[expected.mask]
        return np.repeat(np.repeat(page, STEP, axis=0), STEP, axis=1)


def wanted_pages(pages: Sequence[Rendered], plan: SheetPlan) -> tuple[Rendered, ...]:
    """The expected look of every page, without marks and small print, for comparison beside the rendering."""
    faces: dict[int, Expected] = {}
    return tuple(replace(page, pixels=ExpectedPage(page, plan, faces).wanted()) for page in pages)


def seen_and_wanted(page: Rendered, plan: SheetPlan, place: int) -> tuple[Window, Pixels]:
    """The window of a place on a rendered page, pixels, and the expected pixels there."""
    with ArtInPlace(plan.layout.trim) as drawn:
        return ExpectedPage(page, plan, {}, drawn).shown(place)


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
