"""The bleed box of each card on the sheet: in a gutter narrower than two bleeds it ends in the middle."""

from bisect import bisect_left
from fractions import Fraction

from watcher.layout.geometry import Box, Size
from watcher.layout.whole_numbers import WholeBox, WholeUnit


def bleed_boxes(trims: list[Box], bleed: Fraction, sheet: Size) -> list[Box]:
    """The bleed box of each trim: the trim and as much bleed as there is room for.

    Where the bleed of two cards would meet, both end at the middle between the two trims, so that no two of the
    boxes overlap and none reaches into another trim. Cards that stand corner to corner give way along the axis on
    which they are farther apart. The edge of the sheet ends all bleed. All mm; the trims must not overlap.
    """
    page = Box.at(Fraction(0), Fraction(0), sheet)
    if bleed == 0:
        return list(trims)
    unit = WholeUnit.of_boxes(trims, bleed)
    wholes = [unit.box(trim) for trim in trims]
    near = _Neighbours(wholes, 2 * unit.whole(bleed))
    return [unit.box_in_mm(_with_bleed(trim, near.of(trim), unit.whole(bleed))).meet(page) for trim in wholes]


class _Neighbours:
    """An index of trims by their left edge, so that each is compared with its neighbours and not with all trims."""

    def __init__(self, trims: list[WholeBox], reach: int) -> None:
        self.ordered = sorted(trims)
        self.lefts = [trim.left for trim in self.ordered]
        self.widest = max(trim.right - trim.left for trim in trims)
        self.reach = reach

    def of(self, trim: WholeBox) -> list[WholeBox]:
        """The trims that may come within reach of `trim`, itself included."""
        first = bisect_left(self.lefts, trim.left - self.widest - self.reach)
        return self.ordered[first : bisect_left(self.lefts, trim.right + self.reach)]


def _with_bleed(trim: WholeBox, trims: list[WholeBox], bleed: int) -> WholeBox:
    """The trim and its bleed, which ends half way to each of the trims near it."""
    left, bottom, right, top = bleed, bleed, bleed, bleed
    for other in trims:
        # Distance along each axis; negative where the two overlap along it.
        across = max(other.left - trim.right, trim.left - other.right)
        up = max(other.bottom - trim.top, trim.bottom - other.top)
        if other == trim or across >= 2 * bleed or up >= 2 * bleed:
            continue
        if across >= up and other.left >= trim.right:
            right = min(right, across // 2)
        elif across >= up:
            left = min(left, across // 2)
        elif other.bottom >= trim.top:
            top = min(top, up // 2)
        else:
            bottom = min(bottom, up // 2)
    return WholeBox(trim.left - left, trim.bottom - bottom, trim.right + right, trim.top + top)
