"""Plan a gang run: which of the waiting orders share sheets, and at which places."""

from collections.abc import Sequence
from dataclasses import dataclass

from watcher.archive.order_ticket import RunPart
from watcher.instructions.finishing import Finishing, plan_finishing
from watcher.layout.gang.model import GangChoice, GangPlan
from watcher.layout.gang.places import OrderPlaces
from watcher.layout.model import Layout
from watcher.orders.wishes import Wishes
from watcher.settings.to_toml import SheetSetup
from watcher.sheet.draw.gang_forms import gang_places
from watcher.work.arrange import choose_gang_orders


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """One order that may share sheets, by its name, and what is wanted of it."""

    order: str
    wishes: Wishes


@dataclass(frozen=True, kw_only=True)
class RunPlan:
    """A run that saves sheets.

    Attributes:
        layout: where the cards lie.
        finishing: what is done to the printed sheets.
        ganged: the orders that share sheets, in the order of the plan.
        plan: how many places each of them has on which sheets, and how many of these are printed.
        places: for each layout of the run, the places of each of them.
        spare_sheets: whole sheets on top of each layout.
        single_sheets: what they would take singly.
    """

    layout: Layout
    finishing: Finishing
    ganged: tuple[Wanted, ...]
    plan: GangPlan
    places: tuple[tuple[OrderPlaces, ...], ...]
    spare_sheets: int
    single_sheets: int

    @property
    def sheets(self) -> tuple[int, ...]:
        """Sheets of each layout, spare ones included."""
        return tuple(form.sheets + self.spare_sheets for form in self.plan.forms)

    @property
    def saved(self) -> int:
        """How many sheets fewer than if each order were made singly."""
        return self.single_sheets - sum(self.sheets)

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


def choose_orders(wanted: Sequence[Wanted], kind: SheetSetup) -> tuple[Layout, GangChoice]:
    """Choose which of some orders share sheets.

    Args:
        wanted: orders of one kind (see `gang_kind.kind_of`).
        kind: the settings of any of them.

    Raises:
        NoCardFits: the card is too large for the sheet.
    """
    return choose_gang_orders(kind, [one.wishes for one in wanted])


def plan_run(wanted: Sequence[Wanted], kind: SheetSetup) -> RunPlan | None:
    """Plan the run of those orders that save sheets by it; None when none do. See `choose_orders`.

    Raises:
        NoCardFits: the card is too large for the sheet.
    """
    layout, choice = choose_orders(wanted, kind)
    if choice.plan is None:
        return None
    finishing = plan_finishing(kind, layout)
    return RunPlan(
        layout=layout,
        finishing=finishing,
        ganged=tuple(wanted[order] for order in choice.ganged),
        plan=choice.plan,
        places=gang_places(layout, finishing.plan, choice.plan),
        spare_sheets=choice.spare_sheets,
        single_sheets=sum(choice.single_sheets[order] for order in choice.ganged),
    )
