"""Spare cards and piles of paper: amounts that are counted in more than one unit, and how they are written."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from watcher.settings.values import MM_OF_UNIT, read_amount, show_exact
from watcher.units import show_mm

MOST_CARDS = 1_000_000
MOST_PERCENT = 1000
MOST_SHEETS_IN_PILE = 1000
HIGHEST_PILE_MM = Fraction(200)  # no guillotine's clamp opens further
OVERS_WANTED = 'write a share such as "5 %", a number of cards such as 3, or sheets such as "1 sheet"'
PILE_WANTED = 'write the height of a pile such as "40 mm", or a number of sheets such as "3 sheets"'


class OversKind(StrEnum):
    """The unit of overs."""

    PERCENT = "percent"  # of the cards ordered
    CARDS = "cards"
    SHEETS = "sheets"  # whole sheets on top


@dataclass(frozen=True)
class Overs:
    """Spare cards made beyond the quantity ordered.

    Attributes:
        kind: what `amount` counts.
        amount: percent, cards or sheets; 0 or more, whole unless percent. ValueError for anything else.
    """

    kind: OversKind
    amount: Fraction

    def __post_init__(self) -> None:
        if self.amount < 0:
            raise ValueError("use 0 or more")
        if self.kind is OversKind.PERCENT:
            if self.amount > MOST_PERCENT:
                raise ValueError(f"use {MOST_PERCENT} % or less")
        elif self.amount.denominator != 1:
            raise ValueError(f"use whole {self.kind.value}")
        elif self.amount > MOST_CARDS:
            raise ValueError(f"use {MOST_CARDS:,} or less")

    def cards_for(self, quantity: int, up: int) -> int:
        """Spare cards for `quantity` cards at `up` on a sheet; a part of a card counts as one, exactly.

        100 cards and 10 percent give 10, never 11: nothing passes through binary fractions.
        """
        if self.kind is OversKind.PERCENT:
            exact = quantity * self.amount / 100
            return -(-exact.numerator // exact.denominator)
        return int(self.amount) * (up if self.kind is OversKind.SHEETS else 1)

    def __str__(self) -> str:
        """The text people write: `5 %`, `3`, `1 sheet`, `2 sheets`."""
        number = show_exact(self.amount)
        if self.kind is OversKind.PERCENT:
            return f"{number} %"
        if self.kind is OversKind.SHEETS:
            return f"{number} sheet" if self.amount == 1 else f"{number} sheets"
        return number


NO_OVERS = Overs(OversKind.CARDS, Fraction(0))


def parse_overs(value: object) -> Overs:
    """Parse overs: `5 %`, `2.5 %`, the number 3, `3 cards`, `1 sheet` or `2 sheets`.

    Raises:
        ValueError: anything else, a yes/no, below 0, parts of a card or sheet, more than a million.
    """
    if isinstance(value, int) and not isinstance(value, bool):
        return Overs(OversKind.CARDS, Fraction(value))
    number, unit = read_amount(value, OVERS_WANTED)
    if unit in ("%", "percent"):
        return Overs(OversKind.PERCENT, number)
    if unit in ("", "card", "cards"):
        return Overs(OversKind.CARDS, number)
    if unit in ("sheet", "sheets"):
        return Overs(OversKind.SHEETS, number)
    raise ValueError(OVERS_WANTED)


@dataclass(frozen=True)
class Pile:
    """How much paper a cutter takes at a time, by height or by number of sheets; the other is None.

    Attributes:
        height: mm, more than 0.
        sheets: at least 1.
    """

    height: Fraction | None = None
    sheets: int | None = None

    def sheets_of(self, thickness: Fraction | None) -> int | None:
        """The number of sheets of this thickness (mm) in a pile, at least 1; None where the thickness is not known."""
        if self.height is None:
            return self.sheets
        return None if thickness is None else max(1, int(self.height / thickness))

    def __str__(self) -> str:
        """The text people write: `40 mm`, `3 sheets`, `1 sheet`."""
        if self.height is not None:
            return f"{show_exact(self.height)} mm"
        return "1 sheet" if self.sheets == 1 else f"{self.sheets} sheets"


def parse_pile(value: object) -> Pile:
    """Parse a pile: `40 mm`, `1.5 in`, `3 sheets` or `1 sheet`; ValueError for anything else or out of range."""
    number, unit = read_amount(value, PILE_WANTED)
    if unit in ("sheet", "sheets"):
        if number.denominator != 1 or not 1 <= number <= MOST_SHEETS_IN_PILE:
            raise ValueError(f"use 1 to {MOST_SHEETS_IN_PILE:,} whole sheets")
        return Pile(sheets=int(number))
    if unit not in MM_OF_UNIT:
        raise ValueError(PILE_WANTED)
    height = MM_OF_UNIT[unit](number)
    if not 0 < height <= HIGHEST_PILE_MM:
        raise ValueError(f"use more than 0 and at most {show_mm(HIGHEST_PILE_MM)} mm")
    return Pile(height=height)
