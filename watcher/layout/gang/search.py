"""Search the run lengths of a gang run: how often each form is printed, so that the run takes the fewest sheets.

If a total of sheets is enough, one sheet more is enough too, so the least total is approached from the lower bound. For
one total the run lengths are searched in boxes: a least and a most for each form. If even the longest runs of a box,
which together exceed the total, leave too few places, the box is dropped; otherwise it is halved. For two forms the
search is complete and proves its answer. For more forms it ends after a fixed amount of work; then the plan is the best
found, and `GangPlan.lower_bound` tells what is not proven. (The settings allow two forms.)
Source of the method: our own; tests/outside/test_gang.py holds its answers against CSPLib prob002 and CP-SAT.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from heapq import heappop, heappush

from watcher.layout.gang.slots import Filling, Slots, SlotTable, WeightBound, WorkLimit

MOST_ORDERS_OF_FORMS = 24  # all of them for up to four forms


@dataclass(frozen=True)
class Found:
    """Run lengths, the longest first, and the places given out for them."""

    runs: Slots
    filling: Filling

    @property
    def sheets(self) -> int:
        """Sheets in all."""
        return sum(self.runs)

    @cached_property
    def rank(self) -> tuple[int, int, int, int, Slots]:
        """The better plan ranks lower: sheets, cards too many, forms, stacks; then the longer first run."""
        longest_first = tuple(-run for run in self.runs)
        return self.sheets, self.filling.overs, len(self.runs), self.filling.stacks, longest_first


@dataclass(frozen=True)
class _Box:
    """The least and the most sheets of each form, the longest run first."""

    low: Slots
    high: Slots

    @property
    def is_one(self) -> bool:
        return self.low == self.high

    def tightened(self, total: int) -> "_Box | None":
        """The part in which runs fall and can add up to `total`; None for nothing."""
        low, high = list(self.low), list(self.high)
        before: list[int] = []
        while before != [*low, *high]:
            before = [*low, *high]
            for k in range(len(low)):
                low[k] = max(low[k], total - sum(high) + high[k], *low[k + 1 : k + 2])
                high[k] = min(high[k], total - sum(low) + low[k], *high[max(0, k - 1) : k])
                if low[k] > high[k]:
                    return None
        return _Box(tuple(low), tuple(high))

    def halves(self) -> "tuple[_Box, _Box]":
        """The box parted across its widest side."""
        widths = [high - low for low, high in zip(self.low, self.high, strict=True)]
        k = widths.index(max(widths))
        middle = (self.low[k] + self.high[k]) // 2
        below = replace(self, high=(*self.high[:k], middle, *self.high[k + 1 :]))
        above = replace(self, low=(*self.low[:k], middle + 1, *self.low[k + 1 :]))
        return above, below


class RunSearch:
    """The search for one number of forms, two or more.

    Args:
        wanted: cards of each order, 1 or more.
        up: places on a sheet.
        forms: how many forms.
    """

    def __init__(self, wanted: Sequence[int], up: int, forms: int) -> None:
        self.wanted, self.up, self.forms = tuple(wanted), up, forms
        self._bound = WeightBound(self.wanted, forms, up)

    def at_most(self, total: int, work: WorkLimit, *, newest_first: bool = True) -> Found | None:
        """A plan of `total` sheets or fewer; None when there is none, or when `work` is over before one is found.

        Boxes are tried in the order of the sheets that their best filling takes; of equals the newest or the oldest
        first. Some plans are found quickly one way and some the other.
        """
        total = min(total, self.forms * max(self.wanted))  # no form is printed oftener than an order asks for cards
        count = itertools.count(step=-1 if newest_first else 1)
        boxes = [(0, 0, self._all(total))]
        while boxes and not work.is_over:
            box = heappop(boxes)[2].tightened(total)
            table = self._table(box, work)
            if box is None or table is None:
                continue
            found = self._shortened(box.high, table.best(box.low), work)
            if found.sheets <= total:
                return found
            for half in box.halves():
                heappush(boxes, (found.sheets, next(count), half))
        return None

    def least_overs(self, best: Found, work: WorkLimit) -> Found:
        """The best plan with as many sheets as `best`; the best found when `work` is over before all is searched."""
        boxes = [self._all(best.sheets)]
        while boxes and not work.is_over:
            box = boxes.pop().tightened(best.sheets)
            table = self._table(box, work)
            if box is None or table is None:
                continue
            least = max(0, table.least_printed(box.low) - sum(self.wanted))
            if (least, len(self.wanted)) >= (best.filling.overs, best.filling.stacks):
                continue
            if box.is_one:
                best = min(best, Found(box.low, table.best()), key=lambda found: found.rank)
            else:
                boxes += box.halves()
        return best

    def _table(self, box: _Box | None, work: WorkLimit) -> SlotTable | None:
        """The slot table for the longest runs of a box; None when even these leave too few places."""
        if box is None or self._bound.excludes(box.high, work):
            return None
        table = SlotTable(self.wanted, box.high, self.up, work)
        return table if table.fits else None

    def _all(self, total: int) -> _Box:
        """All falling runs that add up to `total`."""
        high = tuple(min(total // number, max(self.wanted)) for number in range(1, self.forms + 1))
        return _Box((1,) * self.forms, high)

    def _shortened(self, runs: Slots, filling: Filling, work: WorkLimit) -> Found:
        """The filling with every run made as short as its cards allow, in the best order of forms."""
        orders = itertools.islice(itertools.permutations(range(self.forms)), MOST_ORDERS_OF_FORMS)
        shorter = min((self._cut_down(runs, filling.slots, order) for order in orders), key=lambda short: sum(short))
        work.done += 2 * len(self.wanted) * self.forms
        return found_of(self.wanted, shorter, filling.slots)

    def _cut_down(self, runs: Slots, slots: Sequence[Slots], order: Slots) -> Slots:
        short = list(runs)
        for form in order:
            short[form] = 0
            needed = 0
            for wanted, ways in zip(self.wanted, slots, strict=True):
                if ways[form]:
                    rest = wanted - sum(a * run for a, run in zip(ways, short, strict=True))
                    needed = max(needed, -(-rest // ways[form]))
            short[form] = needed
        return tuple(short)


def found_of(wanted: Sequence[int], runs: Slots, slots: Sequence[Slots]) -> Found:
    """A plan with its forms in order, the longest run first; forms that are not printed are left out."""
    forms = sorted((form for form, run in enumerate(runs) if run), key=lambda form: (-runs[form], form))
    kept = tuple(tuple(way[form] for form in forms) for way in slots)
    lengths = tuple(runs[form] for form in forms)
    printed = sum(a * run for way in kept for a, run in zip(way, lengths, strict=True))
    stacks = sum(a > 0 for way in kept for a in way)
    return Found(lengths, Filling(overs=printed - sum(wanted), stacks=stacks, slots=kept))
