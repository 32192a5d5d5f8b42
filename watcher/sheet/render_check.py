"""The read-back check by sight: the rendered sheet against what the art itself says should be at each place.

The rendering and the picture made from the art never agree to the last level: the renderer brings pictures to whole
pixels and every scaling averages in its own way. Both are looked at three rendered pixels at a time (`STEP`, 1.06 mm
at the preview's resolution), and two questions are asked at every place.

1. Is a colour there that the art has nowhere near? A step is foreign when a colour of it lies over `FOREIGN` levels
   outside all that the art comes to within one rendered pixel (0.35 mm). More than `FEW` of them and the place is
   wrong. That finds missing, clipped and wrong cards, and what is moved or turned in a design with contrast.
2. Would the art fit better otherwise: one step further left, right, up or down, on its head, mirrored, the other side,
   or bare paper? Only the steps in which the two ways differ by `TOLD_APART` levels are asked. The place is wrong when
   the art as it should be is `LEAST_WRONG` levels off there on average, and the other way less than `BETTER` of that.

Measured over 19 drawn designs on three cards, in nine forms of file: where all is right no place has more than 2
foreign steps, and no other way that is 14 levels better comes below 0.4; a shift by 1 mm gives 0.06 to 0.33 or dozens
of foreign steps. So 1 mm shows and half a millimetre passes; what is fainter than 14 of 255 levels, and what repeats
every millimetre, cannot be judged by sight. Nor can what the art does not show: a blank card may lie on its head. The
check in numbers (`read_back.py`) knows that too, to 0.01 mm.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from watcher.art.model import CardFace
from watcher.layout.alignment import is_identity
from watcher.layout.geometry import Box
from watcher.layout.marks import marks_behind
from watcher.layout.model import Place
from watcher.sheet.draw import SheetPlan, face_at
from watcher.sheet.expected import Expected, expected_face
from watcher.sheet.frames import Frame, card_on_page, correcting
from watcher.sheet.png_file import png_file
from watcher.sheet.read_back import SheetWrong
from watcher.sheet.render import Rendered, SheetPictures, page_scale
from watcher.terms import Side

STEP = 3  # rendered pixels that are looked at as one
FOREIGN = 40
FEW = 6
TOLD_APART = 12
ENOUGH = 8  # steps that must tell two ways apart
LEAST_WRONG = 14.0
BETTER = 0.35

_PAPER = _INSIDE = 255

Levels = NDArray[np.int16]
Part = tuple[slice, slice]


class LooksWrong(SheetWrong):
    """A finished sheet does not look like its art.

    Attributes:
        evidence: the rendering and what was expected, as PNG files by name.
    """

    def __init__(self, fault: str, evidence: dict[str, bytes]) -> None:
        super().__init__(fault)
        self.evidence = evidence

    def __reduce__(self) -> tuple[type, tuple[str, dict[str, bytes]]]:  # type: ignore[override]
        return type(self), (self.fault, self.evidence)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Patch:
    """One place as the art says it should look.

    Attributes:
        top, left: where its pixels begin on the page seen in steps.
        art: the expected steps.
        darkest, lightest: what they stay between.
        mask: which of them count: inside what the card may paint, off its edge and off all marks.
        card: the part of it that is the trim.
    """

    top: int
    left: int
    art: Levels
    darkest: Levels
    lightest: Levels
    mask: NDArray[np.bool_]
    card: Part

    def cut(self, seen: NDArray[Any]) -> NDArray[Any]:
        """The same part of the page."""
        height, width = self.mask.shape
        return seen[self.top : self.top + height, self.left : self.left + width]


def compare_with_art(pictures: SheetPictures, plan: SheetPlan) -> None:
    """Compares every place of every rendered page with the art.

    Raises:
        LooksWrong: a place does not show its card, whole and turned right; names the first one.
    """
    for page in pictures.pages:
        _PageCheck(page, plan).run()


class _PageCheck:
    """The check of one page."""

    def __init__(self, page: Rendered, plan: SheetPlan) -> None:
        self._page, self._plan, self._side = page, plan, page.side
        across, up = page_scale(page)
        height = float(plan.layout.sheet.height)
        self._per_mm = max(across, up)
        self._steps = Frame((across / STEP, 0.0, 0.0, -up / STEP, 0.0, height * up / STEP))
        correction = plan.correction if page.side is Side.BACK else None
        self._correction = None if is_identity(correction) else correction
        self._seen = np.asarray(Image.fromarray(page.pixels).reduce(STEP)).astype(np.int16)
        self._faces: dict[int, Expected] = {}
        self._free = self._free_of_marks()

    def run(self) -> None:
        """Looks at every place; raises for the first that is wrong."""
        for place in self._plan.layout.places:
            patch = self._patch(place)
            fault = self._fault(patch, place) if patch is not None else None
            if fault:
                raise LooksWrong(f"card {place.number} on the {self._side} page {fault}", self._evidence())

    def _fault(self, patch: _Patch, place: Place) -> str | None:
        seen = patch.cut(self._seen)
        for way, other, part in self._other_ways(patch, place):
            if _fits_better(seen[part], patch.art[part], other[part], patch.mask[part]):
                return way
        low, high = patch.darkest - FOREIGN, patch.lightest + FOREIGN
        foreign = ((seen < low) | (seen > high)).any(axis=2) & patch.mask
        return "does not show its art, or not all of it" if np.count_nonzero(foreign) > FEW else None

    def _other_ways(self, patch: _Patch, place: Place) -> Iterator[tuple[str, Levels, Part]]:
        """Each wrong way the card might lie: in words, as pixels, and the part of the patch that tells."""
        card, all_of_it = patch.card, (slice(None), slice(None))
        for way, turned in (
            ("is on its head", np.s_[::-1, ::-1]),
            ("is mirrored", np.s_[:, ::-1]),
            ("is mirrored", np.s_[::-1]),
        ):
            other = patch.art.copy()
            other[card] = patch.art[card][turned]
            yield way, other, card
        for axis, step in ((0, 1), (0, -1), (1, 1), (1, -1)):
            yield "does not lie where it should", np.roll(patch.art, step, axis), _without_end(axis, step)
        other_side = self._other_side(place)
        if other_side is not None:
            yield f"shows the {self._side.other}", other_side.art, all_of_it
        yield "is missing", np.full_like(patch.art, _PAPER), all_of_it

    def _other_side(self, place: Place) -> _Patch | None:
        front, back = self._plan.front, self._plan.back
        if back is None or front.art.content == back.art.content:
            return None
        return self._patch(place, front if self._side is Side.BACK else back)

    def _patch(self, place: Place, instead: CardFace | None = None) -> _Patch | None:
        """What the art says of a place; with `instead`, what it would look like with that face."""
        lying = face_at(self._plan, place, self._side)
        if lying is None:
            return None
        face, card = lying
        on_steps = self._steps.after(card_on_page(face, self._correction, self._plan.layout.sheet))
        left, top, right, bottom = self._window(face.paint)
        expected = self._face(instead or card)
        to_picture = self._onto_pixels(expected, card).after(on_steps.inverse).after(Frame.moved(left, top))
        size = right - left, bottom - top
        trim = self._window(face.trim)
        return _Patch(
            top=top,
            left=left,
            art=_seen_through(expected.picture, to_picture, size),
            darkest=_seen_through(expected.darkest, to_picture, size),
            lightest=_seen_through(expected.lightest, to_picture, size),
            mask=self._mask(face.paint, (left, top, right, bottom)),
            card=np.s_[trim[1] - top : trim[3] - top, trim[0] - left : trim[2] - left],
        )

    def _face(self, card: CardFace) -> Expected:
        if id(card) not in self._faces:
            self._faces[id(card)] = expected_face(card, self._plan.layout.trim, self._per_mm, STEP)
        return self._faces[id(card)]

    def _onto_pixels(self, expected: Expected, card: CardFace) -> Frame:
        """Brings the card's axes (mm) onto the pixels of its expected picture."""
        (across, up), bleed = expected.per_mm, float(card.fit.bleed)
        return Frame((across, 0.0, 0.0, -up, bleed * across, (float(self._plan.layout.trim.height) + bleed) * up))

    def _window(self, box: Box) -> tuple[int, int, int, int]:
        """Left, top, right, bottom of the whole steps inside a box of the page; on the page."""
        corners = self._corners(box)
        across, down = [x for x, _ in corners], [y for _, y in corners]
        height, width = self._free.shape
        left, top = max(0, math.ceil(min(across))), max(0, math.ceil(min(down)))
        right, bottom = min(width, math.floor(max(across))), min(height, math.floor(max(down)))
        return left, top, max(left, right), max(top, bottom)

    def _corners(self, box: Box) -> list[tuple[float, float]]:
        sheet = self._plan.layout.sheet
        frame = self._steps if self._correction is None else self._steps.after(correcting(self._correction, sheet))
        corners = ((box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top))
        return [frame.at(float(x), float(y)) for x, y in corners]

    def _mask(self, paint: Box, window: tuple[int, int, int, int]) -> NDArray[np.bool_]:
        left, top, right, bottom = window
        free = self._free[top:bottom, left:right]
        if self._correction is None or not self._correction.turn_degrees:
            return free
        inside = Image.new("L", (right - left + 2, bottom - top + 2))  # with an edge all round that is outside
        corners = [(x - left + 1, y - top + 1) for x, y in self._corners(paint)]
        ImageDraw.Draw(inside).polygon(corners, fill=_INSIDE)
        return free & (np.asarray(inside.filter(ImageFilter.MinFilter(3)))[1:-1, 1:-1] > 0)

    def _free_of_marks(self) -> NDArray[np.bool_]:
        """The steps of the page that no mark touches."""
        layout, marks = self._plan.layout, self._plan.marks
        if self._side is Side.BACK and layout.flip is not None:
            marks = marks_behind(marks, layout.sheet, layout.flip)
        free = np.ones(self._seen.shape[:2], np.bool_)
        for mark in marks:
            ends = Box.around([Box(end.x, end.y, end.x, end.y) for end in (mark.start, mark.end)])
            across, down = zip(*self._corners(ends), strict=True)
            rows = slice(max(0, math.floor(min(down)) - 1), math.floor(max(down)) + 2)
            free[rows, max(0, math.floor(min(across)) - 1) : math.floor(max(across)) + 2] = False
        return free

    def _evidence(self) -> dict[str, bytes]:
        """The rendered page, and the same page as the art says it should look, marks and small print left out."""
        height, width = self._seen.shape[:2]
        page = np.full((height, width, 3), _PAPER, np.uint8)
        for place in self._plan.layout.places:
            patch = self._patch(place)
            if patch is not None:
                patch.cut(page)[patch.mask] = patch.art[patch.mask]
        larger = np.repeat(np.repeat(page, STEP, axis=0), STEP, axis=1)
        return {
            f"{self._side}-as-made.png": png_file(self._page.pixels),
            f"{self._side}-as-wanted.png": png_file(larger),
        }


def _fits_better(seen: Levels, art: Levels, other: Levels, mask: NDArray[np.bool_]) -> bool:
    """Whether another way is much nearer to what is seen, where the two ways can be told apart."""
    telling = mask & (_distance(art, other) > TOLD_APART)
    if np.count_nonzero(telling) < ENOUGH:
        return False
    own, its = float(_distance(seen, art)[telling].mean()), float(_distance(seen, other)[telling].mean())
    return own > LEAST_WRONG and its < BETTER * own


def _seen_through(picture: Image.Image, to_picture: Frame, size: tuple[int, int]) -> Levels:
    """What of a picture lies at each step."""
    a, b, c, d, e, f = to_picture.numbers
    laid = picture.transform(size, Image.Transform.AFFINE, (a, c, e, b, d, f), Image.Resampling.BILINEAR)
    return np.asarray(laid).astype(np.int16)


def _distance(one: Levels, other: Levels) -> Levels:
    return np.asarray(np.abs(one - other).max(axis=2))


def _without_end(axis: int, step: int) -> Part:
    """All but the row or column that a shift brings in from the far end."""
    kept = slice(step, None) if step > 0 else slice(None, step)
    return (kept, slice(None)) if axis == 0 else (slice(None), kept)
