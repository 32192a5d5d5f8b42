"""Which of the orders that wait share sheets, at which places, and what that saves."""

from collections.abc import Sequence
from dataclasses import dataclass

from watcher.arrange import layout_request
from watcher.layout.gang_choice import choose_gang
from watcher.layout.gang_model import GangForm, GangPlan
from watcher.layout.lay_out import lay_out
from watcher.layout.model import Layout, Place
from watcher.orders.quantity import count_sheets
from watcher.records.ticket import RunPart
from watcher.settings.model import CardSettings, PrinterSettings, SheetSettings
from watcher.settings.values import Overs, OversKind, parse_overs


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What is wanted of one order.

    Attributes:
        order: its name.
        quantity: finished cards.
        overs: as people write it.
    """

    order: str
    quantity: int
    overs: str

    @property
    def spare(self) -> Overs:
        """The overs as they are counted."""
        return parse_overs(int(self.overs) if self.overs.isdecimal() else self.overs)

    @property
    def spare_sheets(self) -> int:
        """Whole sheets on top, where the overs are counted so."""
        return int(self.spare.amount) if self.spare.kind is OversKind.SHEETS else 0

    @property
    def cards(self) -> int:
        """Cards with their overs; whole sheets on top count for none."""
        extra = 0 if self.spare.kind is OversKind.SHEETS else self.spare.cards_for(self.quantity, 1)
        return self.quantity + extra


@dataclass(frozen=True, kw_only=True)
class RunPlan:
    """A run that saves sheets.

    Attributes:
        layout: where the cards lie.
        ganged: the orders that share sheets.
        singly: those that are better made by themselves.
        places: for each layout of the run, by number of the place: which of `ganged` lies there, or None.
        sheets: of each layout, spares included.
        single_sheets: what `ganged` would take singly, spares included.
    """

    layout: Layout
    ganged: tuple[Wanted, ...]
    singly: tuple[Wanted, ...]
    places: tuple[tuple[int | None, ...], ...]
    sheets: tuple[int, ...]
    single_sheets: int

    @property
    def saved(self) -> int:
        """Sheets fewer than singly."""
        return self.single_sheets - sum(self.sheets)

    @property
    def saved_percent(self) -> float:
        """Of the sheets that the orders of the run would take singly."""
        return 100 * self.saved / self.single_sheets

    def part_of(self, index: int, run: str) -> RunPart:
        """The part of the order `ganged[index]`."""
        own = tuple(
            (number, place)
            for number, whose in enumerate(self.places, start=1)
            for place in self._places_of(index, whose)
        )
        return RunPart(
            run=run,
            orders=tuple(wanted.order for wanted in self.ganged),
            layouts=self.sheets,
            places=own,
            printed=sum(self.sheets[layout - 1] for layout, _ in own),
        )

    def _places_of(self, index: int, whose: tuple[int | None, ...]) -> list[Place]:
        return [place for place, order in zip(self.layout.places, whose, strict=True) if order == index]


def plan_run(
    wanted: Sequence[Wanted], card: CardSettings, sheet: SheetSettings, printer: PrinterSettings, layouts: int
) -> RunPlan | None:
    """The run of those of these orders that save sheets by it; None when none do.

    Args:
        wanted: orders of one kind (see `runs.share`).
        card: settings of any of them.
        sheet: theirs.
        printer: theirs.
        layouts: at most so many different sheets.

    Raises:
        NoCardFits: the card is too large for the sheet.
    """
    layout = lay_out(layout_request(card, sheet, printer, sum(one.cards for one in wanted)))
    choice = choose_gang([one.cards for one in wanted], layout.up, layouts)
    if choice.plan is None or len(choice.ganged) < 2:
        return None
    ganged = tuple(wanted[order] for order in choice.ganged)
    plan = RunPlan(
        layout=layout,
        ganged=ganged,
        singly=tuple(wanted[order] for order in choice.singly),
        places=tuple(_whose(form.slots, layout.up) for form in choice.plan.forms),
        sheets=_sheets(choice.plan, ganged),
        single_sheets=sum(count_sheets(one.quantity, one.spare, layout.up).total for one in ganged),
    )
    return plan if plan.saved > 0 else None


def _sheets(plan: GangPlan, ganged: Sequence[Wanted]) -> tuple[int, ...]:
    """Of each layout; where an order on it asks for whole sheets on top, the most that any of them asks for."""
    return tuple(form.sheets + _spare_on(form, ganged) for form in plan.forms)


def _spare_on(form: GangForm, ganged: Sequence[Wanted]) -> int:
    return max(one.spare_sheets for one, slots in zip(ganged, form.slots, strict=True) if slots)


def _whose(slots: Sequence[int], up: int) -> tuple[int | None, ...]:
    """Places in their order, each order's side by side."""
    given = [order for order, count in enumerate(slots) for _ in range(count)]
    return (*given, *[None] * (up - len(given)))
