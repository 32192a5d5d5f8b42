"""Plan a gang run: how many places each order gets on which forms, so that the run takes the fewest sheets.

Plans are compared by sheets, then surplus cards, then forms, then stacks to keep apart, then the longer first run.
The cards wanted of an order are `ceil(quantity * (1 + overs))`, as for an order made singly (`orders.quantity`); whole
spare sheets are added to a form's run afterwards.

One form: R sheets give order i its cards on ceil(wanted_i / R) places, so R is the least with places enough, found by
bisection. More forms: `search.py`.
"""

from bisect import bisect_left
from collections.abc import Sequence

from watcher.layout.gang.model import GangForm, GangPlan
from watcher.layout.gang.search import Found, RunSearch, found_of
from watcher.layout.gang.slots import WorkLimit

MOST_CELLS = 20_000  # of one table: four forms of up to 26 places, five of up to 10; more forms are not searched
MOST_WORK = 800_000  # steps of about 10 microseconds, for more forms than these
PROVEN_FORMS = 2
PARTS_OF_WORK = 6  # the part of the work left that one search for one total may take


def plan_gang(wanted: Sequence[int], up: int, forms: int, *, most_work: int = MOST_WORK) -> GangPlan | None:
    """Plan the run that takes the fewest sheets for these orders.

    Args:
        wanted: cards of each order, overs included; 1 or more each.
        up: places on a sheet, 1 or more.
        forms: at most so many different sheets, 1 or more.
        most_work: when the search ends for three forms or more.

    Returns:
        The plan, proven for one form and for two; None when there are more orders than places on all forms.
    """
    if not wanted or min(*wanted, up, forms) < 1:
        raise ValueError(f"{list(wanted)} cards at {up} on a sheet, {forms} forms: each must be 1 or more")
    if len(wanted) > up * forms:
        return None
    search = _PlanSearch(wanted, up, most_work)
    for number in range(-(-len(wanted) // up), forms + 1):
        search.allow(number)
    return search.plan()


def least_of_one_form(wanted: Sequence[int], up: int) -> int:
    """The least number of sheets of one form that carries all these orders; there are no more orders than places."""
    return 1 + bisect_left(range(1, max(wanted)), True, key=lambda run: sum(-(-cards // run) for cards in wanted) <= up)


def sheets_within(wanted: Sequence[int], up: int, forms: int, total: int, *, most_work: int) -> int | None:
    """The sheets of some plan that takes `total` or fewer; None when none is found (for two forms: when none is)."""
    forms = min(forms, total)
    if forms < 1 or len(wanted) > up * forms:
        return None
    if forms == 1:
        sheets = least_of_one_form(wanted, up)
        return sheets if sheets <= total else None
    found = RunSearch(wanted, up, forms).at_most(total, _work(forms, most_work))
    return found.sheets if found else None


def _work(forms: int, most: int) -> WorkLimit:
    return WorkLimit(None if forms <= PROVEN_FORMS else most)


class _PlanSearch:
    """The search for the best plan, with one form more allowed at a time.

    Attributes:
        best: the best plan with the forms allowed so far.
        lower_bound: no plan with so many forms takes fewer sheets.
        overs_are_least: whether the search for fewer cards too many was carried through.
    """

    def __init__(self, wanted: Sequence[int], up: int, most_work: int) -> None:
        self.wanted, self.up, self.most_work = tuple(wanted), up, most_work
        self.best: Found | None = None
        self.lower_bound = 0
        self.overs_are_least = True

    def allow(self, forms: int) -> None:
        """Search a plan with so many forms that is better than the best one with fewer."""
        if forms == 1:
            self.best = self._in_groups()
            self.lower_bound = self.best.sheets
            return
        self.best = self.best or self._in_groups()
        self.lower_bound = -(-sum(self.wanted) // self.up)  # as if no place were empty and no card too many
        self.overs_are_least = (self.up + 1) ** (forms - 1) <= MOST_CELLS
        if self.overs_are_least:
            self._search(RunSearch(self.wanted, self.up, forms), _work(forms, self.most_work))

    def _in_groups(self) -> Found:
        """A plan to start from, the best for one form: the orders by size, as many on each form as it has places."""
        by_size = sorted(range(len(self.wanted)), key=lambda order: (-self.wanted[order], order))
        groups = [by_size[at : at + self.up] for at in range(0, len(by_size), self.up)]
        runs = tuple(least_of_one_form([self.wanted[order] for order in group], self.up) for group in groups)
        slots = [
            tuple(-(-cards // run) if order in group else 0 for run, group in zip(runs, groups, strict=True))
            for order, cards in enumerate(self.wanted)
        ]
        return found_of(self.wanted, runs, slots)

    def _search(self, search: RunSearch, work: WorkLimit) -> None:
        """Find the least number of sheets, then the fewest surplus cards with as many sheets."""
        assert self.best is not None
        start, step = self.lower_bound, 1
        while start < self.best.sheets:
            total = start + min(step, -(-(self.best.sheets - start) // 2)) - 1
            for newest_first in (False, True):
                budget = work.part(PARTS_OF_WORK)
                found = search.at_most(total, budget, newest_first=newest_first)
                work.done += budget.done
                if found is not None or not budget.is_over:
                    break
            if found is not None:
                self.best = found
                continue
            start, step = total + 1, 2 * step
            if not budget.is_over:
                self.lower_bound = start
        self.best = search.least_overs(self.best, work)
        self.overs_are_least = not work.is_over

    def plan(self) -> GangPlan:
        """The best plan as a record."""
        assert self.best is not None
        by_form = zip(*self.best.filling.slots, strict=True)
        return GangPlan(
            wanted=self.wanted,
            up=self.up,
            forms=tuple(GangForm(slots=slots, sheets=run) for slots, run in zip(by_form, self.best.runs, strict=True)),
            lower_bound=self.lower_bound,
            overs_are_least=self.overs_are_least,
        )
