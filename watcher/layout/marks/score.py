"""Score marks of folded cards: dashed marks outside the trim, and room for a word beside them.

The card lies on the sheet opened out, so its fold runs through the middle of the trim.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from watcher.layout.geometry import Box, Point
from watcher.layout.marks.crop_marks import TICK_OFFSET_MM, dashed_marks
from watcher.layout.model import Layout, Mark, SlugPlace
from watcher.terms import Fold, Grain, Turn

_BESIDE_MM = Fraction(6, 10)  # from a mark to its word; common practice, no source


@dataclass(frozen=True, kw_only=True)
class ScorePlan:
    """The marks of the folds in the axes of the front page.

    Attributes:
        marks: dashed, beyond the ends of each fold.
        labels: where the word stands; on the back page at `box_behind`, read the same way.
        unmarked: how many folds have no mark.
    """

    marks: tuple[Mark, ...]
    labels: tuple[SlugPlace, ...]
    unmarked: int


def runs_upwards(layout: Layout, fold: Fold) -> bool:
    """Whether the folds run along the height of the sheet. All cards on it stand the same way or half a turn round."""
    return (fold is Fold.LEFT) is not layout.places[0].front.turn.swaps_sides


def lies_across_grain(layout: Layout, fold: Fold, grain: Grain) -> bool:
    """Whether the folds run across the grain of the paper, where they may crack. A square sheet counts as portrait."""
    fibres_upwards = (grain is Grain.LONG) is not layout.sheet.is_landscape
    return runs_upwards(layout, fold) is not fibres_upwards


def plan_scores(layout: Layout, fold: Fold, marks: Iterable[Mark], word: tuple[Fraction, Fraction]) -> ScorePlan:
    """Place dashed marks for every fold, and a word beside each of them where there is room.

    Args:
        layout: the solved sheet; its trims are the cards opened out.
        fold: where the card is folded.
        marks: the cutting marks, which no word may touch.
        word: length and height of the word, mm.
    """
    upright = runs_upwards(layout, fold)
    trims = [place.front.trim for place in layout.places]
    bleed_boxes = [place.front.bleed_box for place in layout.places]
    if upright:
        plan = dashed_marks(trims, bleed_boxes, layout.printable, layout.bleed)
        scores = plan.marks
    else:
        turned = [_changed_over(box) for box in trims], [_changed_over(box) for box in bleed_boxes]
        plan = dashed_marks(*turned, _changed_over(layout.printable), layout.bleed)
        scores = tuple(replace(mark, start=_over(mark.start), end=_over(mark.end)) for mark in plan.marks)
    labels = _labels(layout, scores, [mark.box for mark in (*marks, *scores)], word)
    return ScorePlan(marks=scores, labels=tuple(labels), unmarked=len(plan.unmarked))


def _labels(
    layout: Layout, scores: tuple[Mark, ...], in_the_way: list[Box], word: tuple[Fraction, Fraction]
) -> list[SlugPlace]:
    """A label beside each mark, clear of all bleed where possible, and never nearer to a trim than a tick."""
    trims = [place.front.trim.grown(TICK_OFFSET_MM) for place in layout.places]
    bleed_boxes = [place.front.bleed_box for place in layout.places]
    found: list[SlugPlace] = []
    for score in scores:
        taken = [*in_the_way, *(label.box for label in found)]
        for obstacles in ([*taken, *bleed_boxes, *trims], [*taken, *trims]):
            box = next((box for box in _beside(score, word) if _is_free(box, layout.printable, obstacles)), None)
            if box is not None:
                found.append(SlugPlace(box=box, turn=Turn.NONE))
                break
    return found


def _beside(score: Mark, word: tuple[Fraction, Fraction]) -> list[Box]:
    """The places for a word beside a mark: right and left of an upright one, else above and below."""
    length, height = word
    mark = score.box
    if mark.width == 0:
        bottom = mark.centre.y - height / 2
        lefts = (mark.right + _BESIDE_MM, mark.left - _BESIDE_MM - length)
        return [Box(left, bottom, left + length, bottom + height) for left in lefts]
    left = mark.centre.x - length / 2
    bottoms = (mark.top + _BESIDE_MM, mark.bottom - _BESIDE_MM - height)
    return [Box(left, bottom, left + length, bottom + height) for bottom in bottoms]


def _is_free(box: Box, area: Box, obstacles: list[Box]) -> bool:
    return area.contains(box) and not any(_meets(box, other) for other in obstacles)


def _meets(box: Box, other: Box) -> bool:
    """Whether they have a point in common; a mark has no area."""
    across = box.left <= other.right and other.left <= box.right
    return across and box.bottom <= other.top and other.bottom <= box.top


def _changed_over(box: Box) -> Box:
    """The box with x and y exchanged."""
    return Box(box.bottom, box.left, box.top, box.right)


def _over(point: Point) -> Point:
    return Point(point.y, point.x)
