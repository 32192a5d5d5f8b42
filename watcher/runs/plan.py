"""Which of the orders that wait share sheets, at which places, and what that saves."""

from collections.abc import Sequence
from dataclasses import dataclass

from watcher.arrange import layout_request
from watcher.layout.gang_choice import choose_gang
from watcher.layout.gang_model import GangForm, GangPlan
from watcher.layout.gang_places import OrderPlaces, give_places
from watcher.layout.lay_out import lay_out
from watcher.layout.model import Layout
from watcher.orders.quantity import count_sheets
from watcher.outbox.finishing import Finishing, plan_finishing
from watcher.records.ticket import RunPart
from watcher.settings.values import Overs, OversKind, parse_overs
from watcher.settings.written import Shaping


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
        finishing: what is done to the printed sheets.
        places: for each layout of the run, the places of each of `ganged`.
        sheets: of each layout, spares included.
        single_sheets: what `ganged` would take singly, spares included.
    """

    layout: Layout
    ganged: tuple[Wanted, ...]
    singly: tuple[Wanted, ...]
    finishing: Finishing
    places: tuple[tuple[OrderPlaces, ...], ...]
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

    def whose(self, layout: int) -> tuple[int | None, ...]:
        """Which of `ganged` lies at each place of a layout (counted from 0), by numbers of the places; None: nobody."""
        owners = {number: own.order for own in self.places[layout] for number in own.places}
        return tuple(owners.get(place.number) for place in self.layout.places)

    def part_of(self, index: int, run: str) -> RunPart:
        """The part of the order `ganged[index]`."""
        own = tuple(
            (layout, self.layout.places[number - 1])
            for layout, owned in enumerate(self.places, start=1)
            for number in owned[index].places
        )
        return RunPart(
            run=run,
            orders=tuple(wanted.order for wanted in self.ganged),
            layouts=self.sheets,
            places=own,
            printed=sum(self.sheets[layout - 1] for layout, _ in own),
        )


def plan_run(wanted: Sequence[Wanted], kind: Shaping) -> RunPlan | None:
    """The run of those of these orders that save sheets by it; None when none do.

    Args:
        wanted: orders of one kind (see `runs.share`).
        kind: the settings of any of them.

    Raises:
        NoCardFits: the card is too large for the sheet.
    """
    layout = lay_out(layout_request(kind.card, kind.sheet, kind.printer, sum(one.cards for one in wanted)))
    choice = choose_gang([one.cards for one in wanted], layout.up, kind.sheet.gang_layouts)
    if choice.plan is None or len(choice.ganged) < 2:
        return None
    finishing = plan_finishing(kind.card, kind.sheet, kind.printer, kind.cutter, layout)
    ganged = tuple(wanted[order] for order in choice.ganged)
    plan = RunPlan(
        layout=layout,
        ganged=ganged,
        singly=tuple(wanted[order] for order in choice.singly),
        finishing=finishing,
        places=tuple(give_places(layout, finishing.plan, form.slots) for form in choice.plan.forms),
        sheets=_sheets(choice.plan, ganged),
        single_sheets=sum(count_sheets(one.quantity, one.spare, layout.up).total for one in ganged),
    )
    return plan if plan.saved > 0 else None


def _sheets(plan: GangPlan, ganged: Sequence[Wanted]) -> tuple[int, ...]:
    """Of each layout; where an order on it asks for whole sheets on top, the most that any of them asks for."""
    return tuple(form.sheets + _spare_on(form, ganged) for form in plan.forms)


def _spare_on(form: GangForm, ganged: Sequence[Wanted]) -> int:
    return max(one.spare_sheets for one, slots in zip(ganged, form.slots, strict=True) if slots)
