"""Patterns of cards: blocks of upright or turned cards, each a plain grid."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from watcher.layout.geometry import Box, Size
from watcher.terms import Turn


@dataclass(frozen=True, kw_only=True)
class Block:
    """A plain grid of cards that all stand the same way; mm, seen from the pattern's lower left corner.

    Attributes:
        x, y: lower left corner of the first trim.
        columns, rows: how many cards across and up, at least 1 each.
        turned: whether the cards lie a quarter turn to the left.
    """

    x: Fraction
    y: Fraction
    columns: int
    rows: int
    turned: bool


@dataclass(frozen=True, kw_only=True)
class Pattern:
    """Blocks that a guillotine can part.

    Attributes:
        card: the trim as it is read, mm.
        gutter: least width of every lane, mm.
        blocks: in no particular order; none of them empty.
        cut_lines: straight cuts that part it, blocks cut together, the four outer ones included.
    """

    card: Size
    gutter: Fraction
    blocks: tuple[Block, ...]
    cut_lines: int

    @property
    def up(self) -> int:
        """How many cards it holds."""
        return sum(block.columns * block.rows for block in self.blocks)

    @property
    def turned(self) -> int:
        """How many of them are turned."""
        return sum(block.columns * block.rows for block in self.blocks if block.turned)

    def trims(self) -> Iterator[tuple[Box, Turn]]:
        """Every card's trim box and turn, mm from the pattern's lower left corner."""
        for block in self.blocks:
            turn = Turn.LEFT if block.turned else Turn.NONE
            size = self.card.turned(turn)
            for row in range(block.rows):
                for column in range(block.columns):
                    x = block.x + column * (size.width + self.gutter)
                    y = block.y + row * (size.height + self.gutter)
                    yield Box.at(x, y, size), turn


def grid_cut_lines(columns: int, rows: int, gutter: Fraction) -> int:
    """The number of cuts that part a plain grid: neighbours share one without a gutter, and need two with one.

    Source: trade-practice count, (n + 1) + (m + 1) with shared cuts, 2n + 2m with gutters, strips cut together.
    """
    return columns + rows + 2 if gutter == 0 else 2 * columns + 2 * rows


def plain_grid(room: Size, card: Size, gutter: Fraction, turn: Turn) -> Pattern:
    """The fullest grid of cards that all stand the same way; empty when not one fits. All mm."""
    size = card.turned(turn)
    columns = _fit(room.width, size.width, gutter)
    rows = _fit(room.height, size.height, gutter)
    if columns == 0 or rows == 0:
        return Pattern(card=card, gutter=gutter, blocks=(), cut_lines=0)
    block = Block(x=Fraction(0), y=Fraction(0), columns=columns, rows=rows, turned=turn.swaps_sides)
    return Pattern(card=card, gutter=gutter, blocks=(block,), cut_lines=grid_cut_lines(columns, rows, gutter))


def best_plain_grid(room: Size, card: Size, gutter: Fraction) -> Pattern:
    """The better of the upright and the turned grid: more cards, then fewer cuts, then upright."""
    upright = plain_grid(room, card, gutter, Turn.NONE)
    turned = plain_grid(room, card, gutter, Turn.LEFT)
    return min(upright, turned, key=lambda grid: (-grid.up, grid.cut_lines))


def _fit(room: Fraction, card: Fraction, gutter: Fraction) -> int:
    return max(0, (room + gutter) // (card + gutter))
