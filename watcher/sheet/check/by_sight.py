"""Compare a rendered sheet with its art, place by place: the read-back check by sight.

The rendering and the picture made from the art never agree exactly: the renderer rounds pictures to whole pixels, and
every scaling averages in its own way. Both are compared in steps of three rendered pixels (`expected_page`), 1.06 mm at
the preview's resolution, and three questions are asked at every place.

1. Is a colour there that the art does not have nearby? A step is foreign when a colour of it lies more than
   `FOREIGN_LEVELS` levels outside the range of the art within one rendered pixel (0.35 mm). The place is wrong when
   more than `MOST_FOREIGN` steps are foreign. This finds missing, clipped and wrong cards, and cards that are moved or
   turned in a design with contrast.
2. Would the art fit better otherwise: one step further left, right, up or down, on its head, mirrored, the other side,
   bare paper, or bare paper along one edge? Only steps in which the two ways differ by `TELLING_LEVELS` levels are
   compared. The place is wrong when in these the expected art is `LEAST_WRONG` levels off on average and
   `LEAST_OUTSIDE` levels outside its range nearby, and the other way is off by less than `MOST_OF_OWN` of that.
3. Is all of it moved, by more than `MOST_MOVED` of a step (0.64 mm)? That is worked out from the whole place at once
   (`displacement`), because in fine checks and small type every colour lies within the range nearby.

What seems wrong is looked at again, finer. The second and third question are then asked about averages over steps as
long as the preview's, whatever the range nearby allows: thin lines and small type are hidden by that range, but in such
averages a shift of 0.35 mm is a third of the difference at most. A fourth is added: does more than a tenth of the card
lie outside the range of the averages round it, as where one colour is lost?

Where an edge is extended, the bleed raises suspicion but no alarm (`extended_bleed`): the outermost pixels alone run
out there, and a line of them that no average shows may be light beside dark art.

A corrected back page is rendered as it comes to lie on the paper (`render.py`), so nothing is turned here. Whether the
correction itself is right is checked in numbers alone.

Measured over the drawn designs of tests/sheet/conftest.py on cards of three sizes, in nine forms of file: no false
alarm, and each fault of the writer found that shows at all. Beside it over 23 patterns (photo, flat, lines, checks,
stripes, dots, type) on cards of 60 x 40 mm, turned four ways: shifts from 1 mm were found, a third of that is not. A
pattern that repeats every millimetre cannot be judged by sight, nor can what the art does not show: a blank card may
lie on its head. The check in numbers (`in_numbers.py`) finds that too, to 0.01 mm.
"""

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watcher.layout.model import Place
from watcher.sheet.check.displacement import displacement, grey
from watcher.sheet.check.expected import Expected
from watcher.sheet.check.expected_page import PAPER, ExpectedPage, ExpectedPlace, Part
from watcher.sheet.check.in_numbers import SheetWrong
from watcher.sheet.check.in_place import ArtInPlace
from watcher.sheet.check.neighbours import Pixels, averaged_blocks, extreme_around
from watcher.sheet.check.render import CLOSER_PPI, PREVIEW_PPI, Rendered, SheetRenderer
from watcher.sheet.draw.plan import SheetPage, SheetPlan, design_at
from watcher.sheet.draw.sheet_pdf import SheetFile
from watcher.units import MM_PER_INCH

FOREIGN_LEVELS = 40
MOST_FOREIGN = 6
TELLING_LEVELS = 12
LEAST_TELLING = 8  # steps that must tell two ways apart
LEAST_WRONG, LEAST_OUTSIDE = 12.0, 3.0
MOST_OF_OWN = 0.45
MOST_MOVED = 0.6  # of a step of the preview: 0.64 mm
MOST_ROUNDED = 20.0  # levels, root of the mean square: above it a pattern hides everything, and is looked at closer
OTHER_COLOUR_LEVELS, MOST_OTHER_COLOUR = 24, 0.1  # of the card

_MOVED, _UNLIKE = "does not lie where it should", "does not show its art, or not all of it"
_PREVIEW_PER_MM = PREVIEW_PPI / float(MM_PER_INCH)


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
        checks = [_PageCheck(ExpectedPage(page, plan, faces, drawn if in_place else None)) for page in pages]
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


class _PageCheck:
    """The check of one page; `expected` is how it should look."""

    def __init__(self, expected: ExpectedPage) -> None:
        self._expected, self._page, self._plan, self._side = expected, expected.page, expected.plan, expected.page.side
        finer = max(1.0, expected.per_mm / _PREVIEW_PER_MM)
        self._few = MOST_FOREIGN * finer**2  # the same area, however fine the steps
        self._reach = max(1, round(finer))  # steps that are as long together as one of the preview
        self._most_moved = MOST_MOVED * finer / self._reach

    def run(self, only: Container[tuple[SheetPage, int]] | None = None) -> Iterator[WrongPlace]:
        """Check every place, or those in `only`, and yield the wrong ones."""
        for place in self._plan.layout.places:
            if only is None or (self._page.page, place.number) in only:
                expected = self._expected.place(place)
                fault = self._fault(expected, place) if expected is not None else None
                if fault:
                    yield WrongPlace(page=self._page.page, place=place.number, fault=fault)

    def _fault(self, expected: ExpectedPlace, place: Place) -> str | None:
        seen = expected.cut(self._expected.seen)
        outside = _outside(expected, seen)
        if self._expected.in_place is not None:
            return self._fault_when_closer(expected, place, seen, outside)
        if np.count_nonzero(outside > LEAST_OUTSIDE) > self._few:  # hardly ever
            art = expected.wanted.picture
            for way, other, part in self._other_ways(expected, art, place):
                telling = expected.certain[part] & (_distance(art[part], other[part]) > TELLING_LEVELS)
                is_outside = np.any(telling) and float(outside[part][telling].mean()) >= LEAST_OUTSIDE
                if is_outside and _fits_better(seen[part], art[part], other[part], telling):
                    return way
            if np.count_nonzero(outside > FOREIGN_LEVELS) > self._few:
                return _UNLIKE
        here, wanted = grey(seen), expected.wanted.grey
        if displacement(here, wanted, expected.mask) > self._most_moved:
            return _MOVED
        rounded = (here - wanted)[expected.mask]
        return _UNLIKE if float(rounded @ rounded) > MOST_ROUNDED**2 * rounded.size else None

    def _fault_when_closer(self, expected: ExpectedPlace, place: Place, seen: Pixels, outside: Pixels) -> str | None:
        """The fault of a place by averages over steps as long as the preview's, in which nothing is rounded any more.

        What lies within the range nearby counts too: thin lines and small type, which it hides.
        """
        art = expected.wanted.picture
        for way, other, part in self._other_ways(expected, art, place):
            here, wanted, instead = (averaged_blocks(one[part], self._reach) for one in (seen, art, other))
            telling = self._whole_blocks(expected.certain[part]) & (_distance(wanted, instead) > TELLING_LEVELS)
            if _fits_better(here, wanted, instead, telling):
                return way
        here, wanted = (averaged_blocks(one, self._reach) for one in (seen, art))
        if displacement(grey(here), grey(wanted), self._whole_blocks(expected.certain)) > self._most_moved:
            return _MOVED
        is_foreign = np.count_nonzero(outside > FOREIGN_LEVELS) > self._few
        return _UNLIKE if is_foreign or self._has_other_colours(expected, seen) else None

    def _has_other_colours(self, expected: ExpectedPlace, seen: Pixels) -> bool:
        """Whether averages lie outside the range of the art round them; of the trim alone, for bleed may be made."""
        here, wanted = (averaged_blocks(one[expected.card], self._reach) for one in (seen, expected.wanted.picture))
        low, high = extreme_around(wanted, np.minimum), extreme_around(wanted, np.maximum)
        beyond = _beyond(here, low, high) * self._whole_blocks(expected.certain[expected.card])
        return float(np.count_nonzero(beyond > OTHER_COLOUR_LEVELS)) > MOST_OTHER_COLOUR * beyond.size

    def _whole_blocks(self, mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
        height, width = (length // self._reach for length in mask.shape)
        kept = mask[: height * self._reach, : width * self._reach]
        return np.asarray(kept.reshape(height, self._reach, width, self._reach).all(axis=(1, 3)))

    def _other_ways(self, expected: ExpectedPlace, art: Pixels, place: Place) -> Iterator[tuple[str, Pixels, Part]]:
        """Each way in which the card might be wrong: in words, as pixels, and the part of the window to compare."""
        card, all_of_it, reach = expected.card, (slice(None), slice(None)), self._reach
        for way, turned in (
            ("is on its head", np.s_[::-1, ::-1]),
            ("is mirrored", np.s_[:, ::-1]),
            ("is mirrored", np.s_[::-1]),
        ):
            other = art.copy()
            other[card] = art[card][turned]
            yield way, other, card
        other_side = self._other_side(place)
        if other_side is not None:
            yield f"shows the {self._side.other}", other_side.wanted.picture, all_of_it
        for axis, step in ((0, reach), (0, -reach), (1, reach), (1, -reach)):
            yield _MOVED, np.roll(art, step, axis), _without_end(axis, step)
        paper = np.full_like(art, PAPER)
        yield "is missing", paper, all_of_it
        for edge in (np.s_[:reach, :], np.s_[-reach:, :], np.s_[:, :reach], np.s_[:, -reach:]):
            yield "is clipped", paper, edge

    def _other_side(self, place: Place) -> ExpectedPlace | None:
        design = design_at(self._plan, self._page.form, place)
        if design is None or design.back is None or design.front.art.content == design.back.art.content:
            return None
        return self._expected.place(place, design.face(self._side.other))


def _fits_better(seen: Pixels, art: Pixels, other: Pixels, telling: NDArray[np.bool_]) -> bool:
    """Whether what is seen is far from the art where the two differ, and near to the other."""
    if np.count_nonzero(telling) < LEAST_TELLING:
        return False
    own = float(_distance(seen, art)[telling].mean())
    return own >= LEAST_WRONG and float(_distance(seen, other)[telling].mean()) < MOST_OF_OWN * own


def _outside(place: ExpectedPlace, seen: Pixels) -> Pixels:
    """By how many levels each step is darker or lighter than the art allows; 0 where it does not count."""
    return _beyond(seen, place.wanted.darkest, place.wanted.lightest) * place.certain


def _beyond(seen: Pixels, low: Pixels, high: Pixels) -> Pixels:
    """By how many levels each step is darker than `low` or lighter than `high`."""
    return _greatest(np.maximum(np.maximum(low, seen) - seen, np.maximum(seen, high) - high))


def _distance(one: Pixels, other: Pixels) -> Pixels:
    return _greatest(np.maximum(one, other) - np.minimum(one, other))


def _greatest(pixels: Pixels) -> Pixels:
    """The greatest of the three colours of each pixel."""
    return np.asarray(np.maximum(np.maximum(pixels[:, :, 0], pixels[:, :, 1]), pixels[:, :, 2]))


def _without_end(axis: int, step: int) -> Part:
    """All of an image but the row or column that a shift brings in from the far end."""
    kept = slice(step, None) if step > 0 else slice(None, step)
    return (kept, slice(None)) if axis == 0 else (slice(None), kept)
