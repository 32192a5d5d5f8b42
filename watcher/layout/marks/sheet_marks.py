"""All marks of a sheet: cutting marks, score marks with their words, register crosses; both faces share them."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from watcher.layout.marks.crop_marks import MarkPlan, plan_marks
from watcher.layout.marks.register_crosses import register_crosses
from watcher.layout.marks.score import plan_scores
from watcher.layout.model import Layout, Mark, SlugPlace
from watcher.terms import Fold, Marks

_STYLES: dict[Marks, Callable[[Layout], MarkPlan]] = {
    Marks.CROP: plan_marks,
    Marks.NONE: lambda _layout: MarkPlan(marks=()),
}


@dataclass(frozen=True, kw_only=True)
class SheetMarks:
    """The marks in the axes of the front page, and what found no room.

    Attributes:
        marks: every line that is drawn; the back has them at `crop_marks.marks_behind`.
        labels: where the word stands beside score marks.
        unmarked: cut lines without a mark: whether they run upwards, and where on the front, mm.
        folds_unmarked: folds without a mark.
        scores_unlabelled: whether not one score mark has room for the word.
        crosses: how many register crosses there are.
    """

    marks: tuple[Mark, ...]
    labels: tuple[SlugPlace, ...] = ()
    unmarked: tuple[tuple[bool, Fraction], ...] = ()
    folds_unmarked: int = 0
    scores_unlabelled: bool = False
    crosses: int = 0


@lru_cache(maxsize=32)  # as many as `lay_out` keeps
def plan_sheet_marks(
    layout: Layout, *, marks: Marks, fold: Fold | None, crosses: bool, word: tuple[Fraction, Fraction]
) -> SheetMarks:
    """Place every mark that is wanted and has room.

    Args:
        layout: the solved sheet.
        marks: the style of the cutting marks; where there are none, there are no score marks either.
        fold: where the cards are folded, or None.
        crosses: whether register crosses are wanted.
        word: length and height of the word beside score marks, mm.
    """
    cuts = _STYLES[marks](layout)
    scores = plan_scores(layout, fold, cuts.marks, word) if marks is not Marks.NONE and fold else None
    drawn = (*cuts.marks, *(scores.marks if scores else ()))
    labels = scores.labels if scores else ()
    found = register_crosses(layout, drawn, [label.box for label in labels]) if crosses else ()
    return SheetMarks(
        marks=(*drawn, *found),
        labels=labels,
        unmarked=cuts.unmarked,
        folds_unmarked=scores.unmarked if scores else 0,
        scores_unlabelled=bool(scores and scores.marks and not scores.labels),
        crosses=len(found) // 2,
    )
