"""Sentences on which of several designs lies where, and how the cut stacks are put in order."""

from collections.abc import Iterator, Sequence

from watcher.orders.model import DesignPlaces, show_numbers
from watcher.orders.quantity import counted
from watcher.terms import Sequencing
from watcher.units import show_run

_SHEETS_TOLD = 8  # of many different ones the first and the last
_PLACES_TOLD = 24
_PILES_TOLD = 6
_AS_DRAWN = "The places are numbered in the drawing of the sheet."


def where_designs_lie(designs: DesignPlaces, most: int | None = None) -> tuple[str, ...]:
    """Say which designs lie on each kind of sheet, or in the stack of each place and how the stacks are put together.

    Args:
        designs: what lies where.
        most: how many sheets are cut at a time; None where that is not known.
    """
    told = _of_stacks(designs, most) if designs.sequence is Sequencing.STACKS else _of_sheets(designs)
    only = [f"Only {_design(len(designs.only))} {show_numbers(designs.only)} of the order."] if designs.only else []
    return (*only, *told)


def _design(number: int) -> str:
    return "design" if number == 1 else "designs"


def _of_sheets(designs: DesignPlaces) -> Iterator[str]:
    forms, first = designs.forms, 1
    for number, (lying, sheets) in enumerate(forms):
        if len(forms) <= _SHEETS_TOLD or number < _SHEETS_TOLD - 2 or number == len(forms) - 1:
            which = show_run(first, first + sheets - 1, "Sheet")
            yield f"<b>{which}:</b> {_lying(lying)}"
        elif number == len(forms) - 2:
            yield "… and so on, design after design …"
        first += sheets
    yield _AS_DRAWN


def _lying(lying: Sequence[int | None]) -> str:
    """`places 1 to 8: designs 9 to 16`, run by run."""
    runs: list[tuple[int, list[int | None]]] = []
    for place, design in enumerate(lying, start=1):
        last = runs[-1][1] if runs else None
        if last is not None and (_follows(last, design)):
            last.append(design)
        else:
            runs.append((place, [design]))
    said = [f"{_places(place, len(run))}: {_what(run)}" for place, run in runs[:_PLACES_TOLD]]
    return "; ".join(said) + ("; …" if len(runs) > _PLACES_TOLD else "")


def _follows(run: Sequence[int | None], design: int | None) -> bool:
    last = run[-1]
    return design is None if last is None else design == last + 1


def _places(first: int, number: int) -> str:
    return show_run(first, first + number - 1, "place")


def _what(run: Sequence[int | None]) -> str:
    numbers = [number for number in run if number is not None]
    if not numbers:
        return "left empty"
    return show_run(numbers[0], numbers[-1], "design")


def _of_stacks(designs: DesignPlaces, most: int | None) -> Iterator[str]:
    up, said = len(designs.forms[0][0]), []
    for place in range(up):
        down = [number for lying, _ in designs.forms if (number := lying[place]) is not None]
        if down:
            numbers = list(dict.fromkeys(down))
            said.append(f"place {place + 1}: {_design(len(numbers))} {show_numbers(numbers)}")
    more = "; …" if len(said) > _PLACES_TOLD else ""
    yield f"<b>Stacks, from top to bottom:</b> {'; '.join(said[:_PLACES_TOLD])}{more}"
    sheets = sum(number for _, number in designs.forms)
    yield (
        f"<b>Keep the {counted(sheets, 'sheet')} in their order</b>, sheet 1 on top, front side up, "
        f"{_cut(sheets, most)} Then put the stack of place 1 on top of that of place 2, both on top of that of place 3,"
        f" and so on: the cards lie in order, {designs.numbers[0]} to {designs.numbers[-1]}. {_AS_DRAWN}"
    )


def _cut(sheets: int, most: int | None) -> str:
    """How sheets that must stay in their order are cut: in one pile, or in several one after the other."""
    if most is not None and most >= sheets:
        return "and cut the pile as one."
    under = (
        "When a pile is cut, lay the cards of each place on a stack of that place; those of the next pile go"
        " <b>under</b> those of the same place, and no stack goes onto another before the last pile is cut."
    )
    if most is None:
        return f"and cut them as one pile; or, where they are too many, one pile after the other from the top. {under}"
    if most == 1:
        one = under.replace("a pile", "a sheet").replace("pile", "sheet")
        return f"and cut them one at a time, from the top. {one}"
    piles = [(first, min(first + most - 1, sheets)) for first in range(1, sheets + 1, most)]
    named = [show_run(first, last) for first, last in piles]
    if len(named) > _PILES_TOLD:
        named = [*named[: _PILES_TOLD - 1], "…", named[-1]]
    return f"and cut them in {len(piles)} piles, from the top: sheets {', '.join(named)}. {under}"
