"""Which of the orders that wait share sheets, at which places, and what that saves."""

from collections.abc import Sequence
from dataclasses import dataclass

from watcher.arrange import layout_request
from watcher.layout.gang_choice import choose_gang
from watcher.layout.gang_model import GangPlan
from watcher.layout.gang_places import OrderPlaces
from watcher.layout.lay_out import lay_out
from watcher.layout.model import Layout
from watcher.orders.quantity import count_sheets
from watcher.outbox.finishing import Finishing, plan_finishing
from watcher.records.ticket import RunPart
from watcher.settings.values import Overs, OversKind, parse_overs
from watcher.settings.written import Shaping
from watcher.sheet.gang_forms import gang_places


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
        plan: how many places each of `ganged` has on which sheets, and how many of these are printed.
        spare_sheets: whole sheets on top of each layout.
        places: for each layout of the run, the places of each of `ganged`.
        single_sheets: what `ganged` would take singly, spares included.
    """

    layout: Layout
    ganged: tuple[Wanted, ...]
    singly: tuple[Wanted, ...]
    finishing: Finishing
    plan: GangPlan
    spare_sheets: int
    places: tuple[tuple[OrderPlaces, ...], ...]
    single_sheets: int

    @property
    def sheets(self) -> tuple[int, ...]:
        """Sheets of each layout, spare ones included."""
        return tuple(form.sheets + self.spare_sheets for form in self.plan.forms)

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
    spare = max(one.spare_sheets for one in wanted)
    choice = choose_gang([one.cards for one in wanted], layout.up, kind.sheet.gang_layouts, spare_sheets=spare)
    if choice.plan is None or len(choice.ganged) < 2:
        return None
    finishing = plan_finishing(kind.card, kind.sheet, kind.printer, kind.cutter, layout)
    ganged = tuple(wanted[order] for order in choice.ganged)
    plan = RunPlan(
        layout=layout,
        ganged=ganged,
        singly=tuple(wanted[order] for order in choice.singly),
        finishing=finishing,
        plan=choice.plan,
        spare_sheets=max(one.spare_sheets for one in ganged),
        places=gang_places(layout, finishing.plan, choice.plan),
        single_sheets=sum(count_sheets(one.quantity, one.spare, layout.up).total for one in ganged),
    )
    return plan if plan.saved > 0 else None
