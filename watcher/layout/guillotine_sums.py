"""The numbers of the guillotine search: sums of card sides along an axis, and the worth of a pattern as one integer."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.int64]


@dataclass(frozen=True)
class WorthScale:
    """Weights that rank patterns by cards, cuts, blocks and turned cards, in this order, as one integer."""

    card: int
    cut: int
    block: int

    @classmethod
    def for_at_most(cls, cards: int) -> "WorthScale":
        """Weights that keep the ranks apart: no pattern has more than 8 cuts a card, or more blocks than cards."""
        block = cards + 1
        cut = block * (cards + 1)
        return cls(card=cut * (8 * cards + 8), cut=cut, block=block)

    def grid(self, columns: int, rows: int, cuts: int, turned: bool) -> int:
        """The worth of a grid parted by so many inner cuts."""
        cards = columns * rows
        return cards * self.card - cuts * self.cut - self.block - (cards if turned else 0)

    def cuts_in(self, worth: int) -> int:
        """The cuts that `worth` stands for."""
        return (-worth % self.card) // self.cut


class SideSums:
    """The sums of card sides along one axis, and the remainder of each when it is cut at another sum.

    Attributes:
        at: the sums in order, from 0.
        rest[k, i]: row of the largest sum that is left of sum i beside sum k; the last row (worth NOTHING) unless
            0 < sum k <= half of sum i.
        exact[k, i]: the same, but only where nothing is lost.
        halves[i]: one more than the greatest k with a rest.
    """

    def __init__(self, limit: int, width: int, height: int) -> None:
        sums = {a + b for a in range(0, limit + 1, width) for b in range(0, limit - a + 1, height)}
        self.at = sorted(sums)
        # Plain 64-bit numbers unless somebody's fractions are so odd that they do not fit.
        at: Any = np.array(self.at, dtype=np.int64 if limit < 2**62 else object)
        self.halves = np.searchsorted(at, at // 2, side="right")
        firsts = at[: int(self.halves[-1])]
        left = at[None, :] - firsts[:, None]
        allowed = (firsts[:, None] > 0) & (firsts[:, None] <= left)
        row = np.searchsorted(at, np.where(allowed, left, 0), side="right") - 1
        self.rest: Numbers = np.where(allowed, row, len(self.at))
        self.exact: Numbers = np.where(allowed & (at[row] == left), row, len(self.at))

    def __len__(self) -> int:
        return len(self.at)
