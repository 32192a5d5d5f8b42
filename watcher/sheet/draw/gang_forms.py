"""The kinds of sheet of a gang run: each order's card at its own places, its back behind its front."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from watcher.layout.gang.model import GangForm, GangPlan
from watcher.layout.gang.places import OrderPlaces, give_places
from watcher.layout.model import CutPlan, Layout
from watcher.sheet.draw.plan import CardDesign, SheetForm


@dataclass(frozen=True, kw_only=True)
class GangCard:
    """What one order of a run prints.

    Attributes:
        name: the order's name, as it is shown.
        design: its front and back.
    """

    name: str
    design: CardDesign


def gang_places(layout: Layout, cuts: CutPlan, plan: GangPlan) -> tuple[tuple[OrderPlaces, ...], ...]:
    """The places of each order, form by form.

    Args:
        layout: the sheet, with as many places as the plan reckons with.
        cuts: how it is cut.
        plan: how many places each order has.
    """
    return tuple(give_places(layout, cuts, form.slots) for form in plan.forms)


def gang_forms(
    layout: Layout,
    plan: GangPlan,
    places: Sequence[Sequence[OrderPlaces]],
    cards: Sequence[GangCard],
    *,
    spare_sheets: int = 0,
) -> tuple[SheetForm, ...]:
    """The kinds of sheet of a run.

    A design goes with its place to the back page, so whatever the flip, each back lies behind its own front.

    Args:
        layout: the sheet.
        plan: the run.
        places: whose each place is, from `gang_places`.
        cards: what the orders print, in the order of the plan; all one-sided or all two-sided.
        spare_sheets: whole sheets on top of each form's run.
    """
    return tuple(
        _form(layout, form, owned, cards, spare_sheets) for form, owned in zip(plan.forms, places, strict=True)
    )


def _form(
    layout: Layout, form: GangForm, owned: Sequence[OrderPlaces], cards: Sequence[GangCard], spare: int
) -> SheetForm:
    by_place = {number: cards[one.order].design for one in owned for number in one.places}
    return SheetForm(
        designs=tuple(by_place.get(place.number) for place in layout.places),
        sheets=form.sheets + spare,
        whose=tuple((cards[one.order].name, show_places(one.places)) for one in owned if one.places),
    )


def show_places(places: Iterable[int]) -> str:
    """The numbers of places as text, runs with a dash: `7`, `1-4, 9`."""
    runs: list[list[int]] = []
    for number in sorted(places):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}\N{EN DASH}{run[-1]}" for run in runs)
