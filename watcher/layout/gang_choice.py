"""Which of the orders that wait are made in one run, and which singly: as few sheets in all as possible.

Where leaving an order out of the run costs no sheet, it is left out: the fewest sheets first, then the fewest orders.

One form: for every run length that could save anything, the orders to leave out are chosen exactly (each order takes
its places or its own sheets), so the answer is proven. More forms: the search starts from that answer and from all
orders together, and takes orders out or in, one at a time and then two, while that is better. No choice takes fewer
sheets than all cards do with no place empty; where the answer takes more, the gap is stated.
"""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from watcher.layout.gang import MOST_WORK, plan_gang, sheets_within
from watcher.layout.gang_model import GangChoice
from watcher.layout.gang_slots import NEVER, Table

MOST_WORK_A_LOOK = MOST_WORK // 80  # for one look at other orders, with three forms or more
MOST_PAIRS = 66  # looks at two orders at a time: all pairs of a dozen


def choose_gang(wanted: Sequence[int], up: int, forms: int) -> GangChoice:
    """The orders to gang so that all orders together take the fewest sheets.

    Args:
        wanted: cards of each order, overs included; 1 or more each.
        up: places on a sheet, 1 or more.
        forms: at most so many different sheets in the run, 1 or more.
    """
    orders = _Orders(tuple(wanted), up, forms)
    chosen = orders.for_one_form()
    if forms > 1:
        starts = {frozenset(chosen), frozenset(range(len(wanted)))}
        chosen = min((orders.improved(start) for start in starts), key=lambda found: found.rank).ganged
    ganged = tuple(sorted(chosen))
    plan = plan_gang([wanted[order] for order in ganged], up, forms) if ganged else None
    choice = GangChoice(ganged=ganged, plan=plan, single_sheets=orders.single, lower_bound=-(-sum(wanted) // up))
    return replace(choice, lower_bound=choice.sheets) if forms == 1 else choice


@dataclass(frozen=True)
class _Chosen:
    """Orders to gang, and the sheets that all orders then take."""

    sheets: int
    ganged: frozenset[int]

    @property
    def rank(self) -> tuple[int, int, list[int]]:
        return self.sheets, len(self.ganged), sorted(self.ganged)


class _Orders:
    """What waits."""

    def __init__(self, wanted: tuple[int, ...], up: int, forms: int) -> None:
        self.wanted, self.up, self.forms = wanted, up, forms
        self.single = tuple(-(-cards // up) for cards in wanted)

    # -- one form ------------------------------------------------------------------------------------------------------

    def for_one_form(self) -> frozenset[int]:
        """The best orders for a run of one form; proven."""
        runs = np.arange(1, max(2, sum(self.single)), dtype=np.int64)
        totals = self._left_out(runs)[-1].min(axis=1) + runs * self._sheet
        best = int(totals.argmin())
        if totals[best] >= sum(self.single) * self._sheet:
            return frozenset()
        return frozenset(self._traced(runs[best : best + 1]))

    @property
    def _sheet(self) -> int:
        """A sheet against an order ganged: any sheet weighs more than all orders."""
        return len(self.wanted) + 1

    def _left_out(self, runs: Table) -> list[Table]:
        """For each run length and number of places used, the least cost: sheets of orders left out, orders ganged."""
        table: Table = np.full((len(runs), self.up + 1), NEVER, dtype=np.int64)
        table[:, 0] = 0
        tables = [table]
        for cards, single in zip(self.wanted, self.single, strict=True):
            since = np.arange(self.up + 1) - (-(-cards // runs))[:, None]
            taken = np.where(since >= 0, np.take_along_axis(table, np.maximum(since, 0), axis=1) + 1, NEVER)
            table = np.minimum(taken, table + single * self._sheet)
            tables.append(table)
        return tables

    def _traced(self, run: Table) -> Iterator[int]:
        """The orders that are ganged at one run length, from the last back to the first."""
        tables = self._left_out(run)
        at = int(tables[-1][0].argmin())
        for order in reversed(range(len(self.wanted))):
            if tables[order + 1][0, at] != tables[order][0, at] + self.single[order] * self._sheet:
                at -= int(-(-self.wanted[order] // run[0]))
                yield order

    # -- more forms ----------------------------------------------------------------------------------------------------

    def improved(self, start: frozenset[int]) -> _Chosen:
        """The best choice that is reached from `start` by taking an order or two out or in."""
        chosen = self._first(start)
        while better := next(self._better(chosen), None):
            chosen = better
        return chosen

    def _first(self, start: frozenset[int]) -> _Chosen:
        cards = [self.wanted[order] for order in sorted(start)]
        plan = plan_gang(cards, self.up, self.forms, most_work=MOST_WORK // 4) if start else None
        if plan is None:
            return _Chosen(sum(self.single), frozenset())
        return _Chosen(plan.sheets + self._singly(start), start)

    def _better(self, chosen: _Chosen) -> Iterator[_Chosen]:
        """Choices that take fewer sheets, or as many with fewer orders ganged."""
        orders = range(len(self.wanted))
        pairs = itertools.islice(itertools.combinations(orders, 2), MOST_PAIRS)
        for change in itertools.chain(((order,) for order in orders), pairs):
            ganged = chosen.ganged.symmetric_difference(change)
            fewer = len(ganged) < len(chosen.ganged)
            limit = chosen.sheets - self._singly(ganged) - (0 if fewer else 1)
            sheets = self._sheets(ganged, limit)
            if sheets is not None:
                yield _Chosen(sheets + self._singly(ganged), ganged)

    def _sheets(self, ganged: frozenset[int], limit: int) -> int | None:
        """The sheets of a run of these orders that takes no more than `limit`; None when none is found."""
        cards = [self.wanted[order] for order in sorted(ganged)]
        if limit < 1 or len(cards) < 2 or -(-sum(cards) // self.up) > limit:
            return None
        return sheets_within(cards, self.up, self.forms, limit, most_work=MOST_WORK_A_LOOK)

    def _singly(self, ganged: frozenset[int]) -> int:
        return sum(sheets for order, sheets in enumerate(self.single) if order not in ganged)
