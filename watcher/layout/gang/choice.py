"""Choose which waiting orders share a run and which are made singly, so that all together take the fewest sheets.

Where leaving an order out of the run costs no sheet, it is left out: the fewest sheets first, then the fewest orders.

One form: for every run length that could save anything, the orders to leave out are chosen exactly (each order takes
its places or its own sheets), so the answer is proven. More forms: the search starts from that answer and from all
orders together, takes orders out or in while that is better, and then evaluates the sets of orders that could be better
at all, the most promising first. For two forms and few orders it evaluates all of them, and the answer is proven.
Otherwise `lower_bound` is what all cards would take with no place empty.
"""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from watcher.layout.gang.model import GangChoice, GangPlan
from watcher.layout.gang.plan import MOST_WORK, PROVEN_FORMS, plan_gang, sheets_within
from watcher.layout.gang.slots import NEVER, Table

MOST_WORK_EACH = MOST_WORK // 80  # for one look at other orders, with three forms or more
MOST_ORDERS = 12  # of which every set is thought of; of more, those that differ in two orders from the best
MOST_EVALUATIONS = 84  # at other sets of orders
RUNS_AT_ONCE = 4096  # lengths of one form's run that are weighed together


def choose_gang(wanted: Sequence[int], up: int, forms: int, *, spare_sheets: int = 0) -> GangChoice:
    """Choose the orders to gang so that all orders together take the fewest sheets.

    Args:
        wanted: cards of each order, overs included; 1 or more each.
        up: places on a sheet, 1 or more.
        forms: at most so many different sheets in the run, 1 or more.
        spare_sheets: whole sheets printed on top of each form's run, and of each order made singly.
    """
    orders = _ChoiceSearch(tuple(wanted), up, forms, spare_sheets)
    chosen = orders.for_one_form()
    bound = -(-sum(wanted) // up)
    is_proven = forms == 1 or sum(orders.single) == bound
    if not is_proven:
        starts = {frozenset(chosen), frozenset(range(len(wanted)))}
        best, is_proven = orders.improved(min((orders.first(start) for start in starts), key=lambda found: found.rank))
        chosen = best.ganged
    ganged = tuple(sorted(chosen))
    choice = GangChoice(
        ganged=ganged,
        plan=orders.run_of([wanted[order] for order in ganged], MOST_WORK),
        single_sheets=orders.single,
        lower_bound=bound,
        spare_sheets=spare_sheets,
    )
    return replace(choice, lower_bound=choice.sheets) if is_proven else choice


@dataclass(frozen=True)
class _Chosen:
    """Orders to gang, and the sheets that all orders then take."""

    sheets: int
    ganged: frozenset[int]

    @property
    def rank(self) -> tuple[int, int, list[int]]:
        return self.sheets, len(self.ganged), sorted(self.ganged)


class _ChoiceSearch:
    """The search over sets of waiting orders."""

    def __init__(self, wanted: tuple[int, ...], up: int, forms: int, spare: int) -> None:
        self.wanted, self.up, self.forms, self.spare = wanted, up, forms, spare
        self.single = tuple(-(-cards // up) + spare for cards in wanted)

    def run_of(self, cards: Sequence[int], most_work: int) -> GangPlan | None:
        """The best run of these orders. Each form has spare sheets, so fewer forms may take fewer sheets."""
        if not cards:
            return None
        numbers = range(1, self.forms + 1) if self.spare else (self.forms,)
        plans = [plan_gang(cards, self.up, number, most_work=most_work) for number in numbers]
        return min((plan for plan in plans if plan), key=self._printed, default=None)

    def _printed(self, plan: GangPlan) -> int:
        return plan.sheets + self.spare * len(plan.forms)

    # -- one form ------------------------------------------------------------------------------------------------------

    def for_one_form(self) -> frozenset[int]:
        """The best orders for a run of one form; proven."""
        best, best_run = sum(self.single) * self._sheet, 0
        for start in range(1, sum(self.single), RUNS_AT_ONCE):
            runs = np.arange(start, min(start + RUNS_AT_ONCE, sum(self.single)), dtype=np.int64)
            *_, table = self._left_out(runs)
            totals = table.min(axis=1) + (runs + self.spare) * self._sheet
            if totals.min() < best:
                best, best_run = int(totals.min()), start + int(totals.argmin())
        return frozenset(self._traced(np.array([best_run], dtype=np.int64))) if best_run else frozenset()

    @property
    def _sheet(self) -> int:
        """The cost of a sheet, where an order in the run costs 1: one sheet outweighs all orders."""
        return len(self.wanted) + 1

    def _left_out(self, runs: Table) -> Iterator[Table]:
        """For each run length and number of places used, the least cost: sheets of orders left out, orders ganged.

        A table before the first order, and one after each.
        """
        table: Table = np.full((len(runs), self.up + 1), NEVER, dtype=np.int64)
        table[:, 0] = 0
        yield table
        for cards, single in zip(self.wanted, self.single, strict=True):
            since = np.arange(self.up + 1) - (-(-cards // runs))[:, None]
            taken = np.where(since >= 0, np.take_along_axis(table, np.maximum(since, 0), axis=1) + 1, NEVER)
            table = np.minimum(taken, table + single * self._sheet)
            yield table

    def _traced(self, run: Table) -> Iterator[int]:
        """The orders that are ganged at one run length, from the last back to the first."""
        tables = list(self._left_out(run))
        at = int(tables[-1][0].argmin())
        for order in reversed(range(len(self.wanted))):
            if tables[order + 1][0, at] != tables[order][0, at] + self.single[order] * self._sheet:
                at -= int(-(-self.wanted[order] // run[0]))
                yield order

    # -- more forms ----------------------------------------------------------------------------------------------------

    def first(self, start: frozenset[int]) -> _Chosen:
        """The choice of `start`; nothing ganged where it has more orders than there are places."""
        cards = [self.wanted[order] for order in sorted(start)]
        plan = self.run_of(cards, MOST_WORK // 4)
        if plan is None:
            return _Chosen(sum(self.single), frozenset())
        return _Chosen(self._printed(plan) + self._singly(start), start)

    def improved(self, chosen: _Chosen) -> tuple[_Chosen, bool]:
        """The best choice that is found from `chosen`, and whether it is proven."""
        evaluations = itertools.count(1)
        while True:
            for ganged in itertools.chain(self._neighbours(chosen), self._sets(chosen)):
                if next(evaluations) > MOST_EVALUATIONS:
                    return chosen, False
                better = self._evaluated(ganged, chosen)
                if better is not None:
                    chosen = better
                    break
            else:
                proven = self.forms == PROVEN_FORMS and len(self.wanted) <= MOST_ORDERS and not self.spare
                return chosen, proven

    def _neighbours(self, chosen: _Chosen) -> Iterator[frozenset[int]]:
        changed = (chosen.ganged ^ {order} for order in range(len(self.wanted)))
        return (ganged for ganged in changed if self._may_be_better(ganged, chosen))

    def _sets(self, chosen: _Chosen) -> list[frozenset[int]]:
        """The sets of orders that could be better, the most promising first."""
        orders = range(len(self.wanted))
        if len(orders) <= MOST_ORDERS:
            sets = [frozenset(some) for size in orders for some in itertools.combinations(orders, size + 1)]
        else:
            sets = [chosen.ganged.symmetric_difference(pair) for pair in itertools.combinations(orders, 2)]
        able = [ganged for ganged in sets if self._may_be_better(ganged, chosen)]
        return sorted(able, key=lambda ganged: (self._least(ganged), len(ganged), sorted(ganged)))

    def _least(self, ganged: frozenset[int]) -> int:
        """A lower bound of the sheets in all: as if no place of the run were empty and no card surplus."""
        run = -(-sum(self.wanted[order] for order in ganged) // self.up)
        return run + self.spare + self._singly(ganged)

    def _may_be_better(self, ganged: frozenset[int], chosen: _Chosen) -> bool:
        able = 2 <= len(ganged) <= self.up * self.forms
        return able and (self._least(ganged), len(ganged)) < (chosen.sheets, len(chosen.ganged))

    def _evaluated(self, ganged: frozenset[int], chosen: _Chosen) -> _Chosen | None:
        """The choice of these orders if it takes fewer sheets, or as many with fewer orders ganged."""
        cards = [self.wanted[order] for order in sorted(ganged)]
        besides = self._singly(ganged) + self.spare * self.forms  # at the most
        limit = chosen.sheets - besides - (0 if len(ganged) < len(chosen.ganged) else 1)
        sheets = sheets_within(cards, self.up, self.forms, limit, most_work=MOST_WORK_EACH)
        return None if sheets is None else _Chosen(sheets + besides, ganged)

    def _singly(self, ganged: frozenset[int]) -> int:
        return sum(sheets for order, sheets in enumerate(self.single) if order not in ganged)
