"""The records of gang runs: several orders on the sheets of one run.

Orders are known by their place in the list that was given: order 0, 1, 2 and so on.
"""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class GangForm:
    """One kind of sheet in a run, which is one set-up at the printer.

    Attributes:
        slots: how many places of the sheet each order has, by order; 0 where it is not on this sheet.
        sheets: how many of these sheets are printed, 1 or more.
    """

    slots: tuple[int, ...]
    sheets: int


@dataclass(frozen=True, kw_only=True)
class GangPlan:
    """The number of places of each order on each form of a run, and how often each form is printed.

    Attributes:
        wanted: cards of each order, its overs included.
        up: places on a sheet.
        forms: the longest run first.
        lower_bound: no plan with as many forms takes fewer sheets than this.
        overs_are_least: whether it is proven that no plan with as many sheets prints fewer surplus cards.
    """

    wanted: tuple[int, ...]
    up: int
    forms: tuple[GangForm, ...]
    lower_bound: int
    overs_are_least: bool

    @property
    def sheets(self) -> int:
        """Sheets of the whole run."""
        return sum(form.sheets for form in self.forms)

    @property
    def printed(self) -> tuple[int, ...]:
        """Cards of each order that the run prints."""
        orders = range(len(self.wanted))
        return tuple(sum(form.slots[order] * form.sheets for form in self.forms) for order in orders)

    @property
    def overs(self) -> int:
        """Cards printed beyond what is wanted, over all orders."""
        return sum(self.printed) - sum(self.wanted)

    @property
    def blanks(self) -> int:
        """Cards that could have been printed on the places left empty, over all sheets of the run."""
        return sum((self.up - sum(form.slots)) * form.sheets for form in self.forms)

    @property
    def stacks(self) -> int:
        """The stacks to keep apart after cutting: one for each order on each form."""
        return sum(slots > 0 for form in self.forms for slots in form.slots)

    @property
    def gap(self) -> int:
        """How many sheets fewer another plan might take, at the most; 0 when the number of sheets is proven."""
        return self.sheets - self.lower_bound

    @property
    def is_proven(self) -> bool:
        """Whether no plan with as many forms takes fewer sheets."""
        return self.gap == 0


@dataclass(frozen=True, kw_only=True)
class GangChoice:
    """The waiting orders that share sheets, and what that saves.

    Attributes:
        ganged: the orders that share sheets, rising; none when that saves nothing.
        plan: the run of these, in the same order; None when there are none.
        single_sheets: the sheets that each order takes when it is made singly, spare ones included, for all orders.
        lower_bound: no choice takes fewer sheets in all than this.
        spare_sheets: whole sheets on top of each form's run, and of each order made singly.
    """

    ganged: tuple[int, ...]
    plan: GangPlan | None
    single_sheets: tuple[int, ...]
    lower_bound: int
    spare_sheets: int = 0

    @property
    def singly(self) -> tuple[int, ...]:
        """The orders that are made singly, rising."""
        return tuple(order for order in range(len(self.single_sheets)) if order not in self.ganged)

    @property
    def sheets(self) -> int:
        """Sheets of the run and of all single orders, spare ones included."""
        run = self.plan.sheets + self.spare_sheets * len(self.plan.forms) if self.plan else 0
        return run + sum(self.single_sheets[order] for order in self.singly)

    @property
    def saved(self) -> int:
        """Sheets fewer than if every order were made singly."""
        return sum(self.single_sheets) - self.sheets

    @property
    def saved_percent(self) -> float:
        """The same in percent of the sheets of all orders made singly."""
        return 100 * self.saved / sum(self.single_sheets) if self.single_sheets else 0.0

    @property
    def is_proven(self) -> bool:
        """Whether no other choice of orders saves more."""
        return self.sheets == self.lower_bound
