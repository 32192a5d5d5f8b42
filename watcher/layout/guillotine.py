"""Find the pattern with the most cards that edge-to-edge cuts can part, upright and turned cards mixed.

A card with its gutter is packed into the room with one gutter more; all lengths become whole numbers by their common
denominator, so nothing is lost to rounding. A piece that is cut is worth the best of

1. a plain grid that fills it exactly,
2. the same piece a little narrower or lower, and one cut that takes the slack away,
3. its two parts after a cut right across it, upright or level.

Only cuts at sums of card sides are tried, for any pattern can be pushed to the left and down. The first part is at
most half of the piece, for parts may change places. A part is worth what the largest such sum within it is worth.
Pieces are solved in order of size, a diagonal of the table at a time. Worth is compared by cards, then cut lines, then
blocks, then turned cards. The answer is the best there is.

Literature: Tarnowski, Terno, Scheithauer, INFOR 32 (1994), polynomial time algorithm for the guillotine pallet loading
problem (from memory). tests/outside/test_layout_counts.py checks the counts against proven ones,
tests/layout/test_guillotine.py against a slow search over all cuts.
"""

import math
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from watcher.layout.geometry import Size
from watcher.layout.guillotine_sums import Numbers, SideSums, WorthScale
from watcher.layout.pattern import Block, Pattern, best_plain_grid, grid_cut_lines

NOTHING = np.int64(-(2**60))  # the worth of a part that must not be used; two of them still fit 64 bits
# Beyond this a "card" is confetti and the search would take seconds: the better plain grid has to do.
MOST_CARDS_SEARCHED = 2000


@lru_cache(maxsize=512)
def best_pattern(room: Size, card: Size, gutter: Fraction) -> Pattern:
    """Give the pattern with the most cards that a guillotine can part.

    Args:
        room: where trims may lie, mm.
        card: the trim as it is read, mm; more than 0 each way.
        gutter: least width of every lane between two trims, mm; 0: neighbours share a cut.

    Returns:
        The best pattern: most cards, then fewest cut lines, fewest blocks, fewest turned cards. Empty when none fits.
        Where more than `MOST_CARDS_SEARCHED` might fit, the better plain grid.
    """
    if room.width <= 0 or room.height <= 0:
        return Pattern(card=card, gutter=gutter, blocks=(), cut_lines=0)
    unit = math.lcm(*(length.denominator for length in (*_sides(room), *_sides(card), gutter)))
    across, up = (int((side + gutter) * unit) for side in _sides(room))
    width, height = (int((side + gutter) * unit) for side in _sides(card))
    if across * up > MOST_CARDS_SEARCHED * width * height:
        return best_plain_grid(room, card, gutter)
    table = _Table(across, up, width, height, shared=gutter == 0)
    leaves, worth = table.best()
    blocks = tuple(
        Block(
            x=Fraction(leaf.x, unit), y=Fraction(leaf.y, unit), columns=leaf.columns, rows=leaf.rows, turned=leaf.turned
        )
        for leaf in leaves
    )
    # The grid of one card has just the four outer cuts.
    cuts = grid_cut_lines(1, 1, gutter) + table.scale.cuts_in(worth) if blocks else 0
    return Pattern(card=card, gutter=gutter, blocks=blocks, cut_lines=cuts)


def _sides(size: Size) -> tuple[Fraction, Fraction]:
    return size.width, size.height


class _Leaf(NamedTuple):
    """A plain grid in whole units, gutters included."""

    x: int
    y: int
    columns: int
    rows: int
    turned: bool


class _Table:
    """The worth of every piece whose sides are sums of card sides.

    worth[i, j] counts a cut for each slack inside the piece; narrow[i, j] is the best of the pieces 0..i of height j,
    for when the slack at the side costs nothing because it lies in a lane that is cut on both sides; low[j, i]
    likewise for heights 0..j.
    """

    def __init__(self, across: int, up: int, width: int, height: int, *, shared: bool) -> None:
        self.x, self.y = SideSums(across, width, height), SideSums(up, width, height)
        self.width, self.height, self.shared = width, height, shared
        self.scale = WorthScale.for_at_most(across * up // (width * height))
        columns, rows = len(self.x), len(self.y)
        self.worth: Numbers = np.zeros((columns + 1, rows), dtype=np.int64)
        self.worth[columns] = NOTHING
        self.worth_up: Numbers = np.zeros((rows + 1, columns), dtype=np.int64)
        self.worth_up[rows] = NOTHING
        self.narrow, self.low = self.worth.copy(), self.worth_up.copy()
        self._put_grids()
        self._solve()

    def _put_grids(self) -> None:
        """Put in the plain grids that fill their piece exactly; upright ones win ties by their worth."""
        for turned, (a, b) in ((False, (self.width, self.height)), (True, (self.height, self.width))):
            for columns, i in enumerate(_multiples(self.x.at, a), start=1):
                for rows, j in enumerate(_multiples(self.y.at, b), start=1):
                    grid = self.scale.grid(columns, rows, self._inner_cuts(columns, rows), turned)
                    self.worth[i, j] = max(self.worth[i, j], grid)

    def _inner_cuts(self, columns: int, rows: int) -> int:
        return (columns + rows - 2) * (1 if self.shared else 2)

    def _solve(self) -> None:
        columns, rows = len(self.x), len(self.y)
        self.rest_x, self.rest_y = self.x.rest * rows, self.y.rest * columns
        self.exact_x, self.exact_y = self.x.exact * rows, self.y.exact * columns
        for diagonal in range(2, columns + rows - 1):
            first, last = max(1, diagonal - rows + 1), min(columns - 1, diagonal - 1)
            if first <= last:
                self._solve_diagonal(diagonal, first, last)

    def _solve_diagonal(self, diagonal: int, first: int, last: int) -> None:
        """Solve the pieces (i, diagonal - i): each needs only pieces of smaller i or j."""
        i = np.arange(first, last + 1)
        j = diagonal - i
        best = self.worth[i, j]
        cut = self.scale.cut
        np.maximum(best, self.narrow[i - 1, j] - cut, out=best)
        np.maximum(best, self.low[j - 1, i] - cut, out=best)
        ks = slice(1, int(self.x.halves[last]))
        self._split(best, self.narrow, self.rest_x[ks, first : last + 1], j, 2 * cut)
        if self.shared:
            self._split(best, self.worth, self.exact_x[ks, first : last + 1], j, cut)
        ks = slice(1, int(self.y.halves[diagonal - first]))
        self._split(best, self.low, self.rest_y[ks][:, j], i, 2 * cut)
        if self.shared:
            self._split(best, self.worth_up, self.exact_y[ks][:, j], i, cut)
        self.worth[i, j] = best
        self.worth_up[j, i] = best
        self.narrow[i, j] = np.maximum(best, self.narrow[i - 1, j])
        self.low[j, i] = np.maximum(best, self.low[j - 1, i])

    @staticmethod
    def _split(best: Numbers, parts: Numbers, rests: Numbers, along: Numbers, cost: int) -> None:
        """Raise `best` to the best sum of two parts; `rests` are offsets of rows in `parts`, a column a piece."""
        if len(rests):
            sums = parts.ravel().take(rests + along)
            sums += parts[1 : len(rests) + 1].take(along, axis=1)
            np.maximum(best, sums.max(axis=0) - cost, out=best)

    def best(self) -> tuple[list[_Leaf], int]:
        """The blocks of the best pattern and its worth."""
        solved = self.worth[: len(self.x)]
        i, j = np.unravel_index(int(solved.argmax()), solved.shape)
        return list(self._blocks(int(i), int(j), 0, 0)), int(solved[i, j])

    def _blocks(self, i: int, j: int, x: int, y: int) -> Iterator[_Leaf]:
        """The blocks of piece (i, j) with its lower left corner at (x, y), traced back from its worth."""
        worth, cut = self.worth[i, j], self.scale.cut
        if worth == 0:
            return
        grid = self._grid_worth(i, j, int(worth))
        if grid is not None:
            yield grid._replace(x=x, y=y)
        elif worth == self.narrow[i - 1, j] - cut:
            yield from self._blocks(_tightest(self.worth[:i, j]), j, x, y)
        elif worth == self.low[j - 1, i] - cut:
            yield from self._blocks(i, _tightest(self.worth_up[:j, i]), x, y)
        else:
            yield from self._parts(i, j, x, y)

    def _parts(self, i: int, j: int, x: int, y: int) -> Iterator[_Leaf]:
        """The blocks of both parts of a piece. The second part lies at the far end, so that slack widens the lane."""
        parts = self._parts_across(self.x, self.worth[:, j], i, int(self.worth[i, j]))
        if parts is not None:
            first, second = parts
            yield from self._blocks(first, j, x, y)
            yield from self._blocks(second, j, x + self.x.at[i] - self.x.at[second], y)
            return
        parts = self._parts_across(self.y, self.worth_up[:, i], j, int(self.worth[i, j]))
        assert parts is not None, "a worth that nothing gives"
        first, second = parts
        yield from self._blocks(i, first, x, y)
        yield from self._blocks(i, second, x, y + self.y.at[j] - self.y.at[second])

    def _parts_across(self, axis: SideSums, worths: Numbers, of: int, worth: int) -> tuple[int, int] | None:
        """The two parts along `axis` that add up to `worth`, or None."""
        for first in range(1, int(axis.halves[of])):
            second, exact = int(axis.rest[first, of]), int(axis.exact[first, of])
            if self.shared and worths[first] + worths[exact] - self.scale.cut == worth:
                return first, exact
            first, second = _tightest(worths[: first + 1]), _tightest(worths[: second + 1])
            if worths[first] + worths[second] - 2 * self.scale.cut == worth:
                return first, second
        return None

    def _grid_worth(self, i: int, j: int, worth: int) -> _Leaf | None:
        """The plain grid that fills piece (i, j) exactly and is worth `worth`, or None."""
        for turned, (a, b) in ((False, (self.width, self.height)), (True, (self.height, self.width))):
            columns, rows = self.x.at[i] // a, self.y.at[j] // b
            if columns * a == self.x.at[i] and rows * b == self.y.at[j]:
                leaf = _Leaf(0, 0, columns, rows, turned)
                if self.scale.grid(columns, rows, self._inner_cuts(columns, rows), turned) == worth:
                    return leaf
        return None


def _multiples(sums: list[int], step: int) -> list[int]:
    """The rows of one, two, three... times `step` among `sums`."""
    row = {value: index for index, value in enumerate(sums)}
    return [row[value] for value in range(step, sums[-1] + 1, step)]


def _tightest(worths: Numbers) -> int:
    """The smallest piece of the greatest worth."""
    return int(worths.argmax())
