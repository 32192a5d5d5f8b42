"""Lay an order's designs on the fewest sheets, and keep them in sequence.

A form is what one kind of sheet carries; equal sheets are one form. The least number of sheets is
`ceil(designs x cards / up)`, for no sheet holds more than `up` cards; both ways of numbering reach it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from watcher.terms import Sequencing


@dataclass(frozen=True, kw_only=True)
class DesignForm:
    """One kind of sheet.

    Attributes:
        designs: at each place of the layout, in the order of their numbers: which design, from 0; None: left empty.
        sheets: how many of it are printed.
    """

    designs: tuple[int | None, ...]
    sheets: int


def sequence_designs(*, designs: int, cards: int, up: int, sequencing: Sequencing) -> tuple[DesignForm, ...]:
    """The forms that carry all cards of all designs on `ceil(designs * cards / up)` sheets.

    Across: design follows design from place to place and from sheet to sheet. Full sheets of different designs are
    printed `cards` times each. The designs left over go on one form together, each as often as needed, where that costs
    no sheet; otherwise they follow each other again and again over several forms. Stacks: the cards of one design after
    those of another, from the top of the first place's stack to the bottom of the last one's. A place that no card is
    wanted for stays empty, so that there is no surplus card to sort out.

    Args:
        designs: how many, 1 or more.
        cards: of each, overs included; 1 or more.
        up: places on a sheet.
        sequencing: how the cards follow each other.

    Returns:
        The forms in the order in which they are printed.

    Raises:
        ValueError: a number below 1.
    """
    if min(designs, cards, up) < 1:
        raise ValueError(f"{designs} designs of {cards} cards, {up} on a sheet: each must be 1 or more")
    if sequencing is Sequencing.STACKS:
        return tuple(_stacked(designs, cards, up))
    return tuple(_across(designs, cards, up))


def sheets_needed(designs: int, cards: int, up: int) -> int:
    """The least number of sheets for so many cards of each design."""
    return -(-designs * cards // up)


def _across(designs: int, cards: int, up: int) -> Iterator[DesignForm]:
    for first in range(0, designs - up + 1, up):
        yield DesignForm(designs=tuple(range(first, first + up)), sheets=cards)
    left_over = range(designs - designs % up, designs)
    if left_over:
        together = _on_one_form(left_over, cards, up)
        yield from [together] if together else _round_and_round(left_over, cards, up)


def _on_one_form(designs: Sequence[int], cards: int, up: int) -> DesignForm | None:
    """A single form that holds each design equally often, when that costs no sheet."""
    least = sheets_needed(len(designs), cards, up)
    often = -(-cards // least)  # fewer times on the sheet, and the least sheets are not enough
    if often * len(designs) > up:
        return None
    return DesignForm(designs=_filled(tuple(designs) * often, up), sheets=least)


def _round_and_round(designs: Sequence[int], cards: int, up: int) -> Iterator[DesignForm]:
    """The designs in turn over as many forms as it takes until the same form comes back."""
    whole, rest = divmod(len(designs) * cards, up)
    every: list[tuple[int | None, ...]] = []
    for start in range(0, whole * up, up):
        lying: tuple[int | None, ...] = tuple(designs[number % len(designs)] for number in range(start, start + up))
        if every and lying == every[0]:
            break
        every.append(lying)
    for number, lying in enumerate(every):
        yield DesignForm(designs=lying, sheets=-(-(whole - number) // len(every)))
    if rest:
        last = [designs[number % len(designs)] for number in range(whole * up, whole * up + rest)]
        yield DesignForm(designs=_filled(last, up), sheets=1)


def _stacked(designs: int, cards: int, up: int) -> Iterator[DesignForm]:
    sheets, total = sheets_needed(designs, cards, up), designs * cards
    changes = {0, sheets}
    for top in range(0, up * sheets, sheets):
        first = -(-top // cards) * cards  # the first card in this place's stack that begins a design
        changes.update(card - top for card in range(first, min(top + sheets, total + 1), cards))
    bounds = sorted(changes)
    for start, end in zip(bounds, bounds[1:], strict=False):
        at = (place * sheets + start for place in range(up))
        yield DesignForm(designs=tuple(c // cards if c < total else None for c in at), sheets=end - start)


def _filled(designs: Sequence[int], up: int) -> tuple[int | None, ...]:
    return (*designs, *(None,) * (up - len(designs)))
