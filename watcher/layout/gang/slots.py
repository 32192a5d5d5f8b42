"""Assign numbers of places to orders for known run lengths, with as few places as possible.

For every order there are some smallest ways to get enough cards: so many places on the first form, so many on the
second. Order by order, a table keeps, for each number of places used on all forms but the last, the least number used
on the last. That is exact, and fast for the few forms of a run.
"""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Slots = tuple[int, ...]  # of one order, by form
Table = NDArray[np.int64]

NEVER = np.int64(2**40)
WEIGHT_PARTS = {2: 24, 3: 8}  # fine enough to find most runs wanting; our own measurement


class Filling(NamedTuple):
    """The places that each order gets on each form.

    Attributes:
        overs: surplus cards.
        stacks: how often an order stands on a form.
        slots: by order, its places by form.
    """

    overs: int
    stacks: int
    slots: tuple[Slots, ...]


class WorkLimit:
    """A limit on the work of a search, in steps of about 10 microseconds, so that it always ends at the same point."""

    def __init__(self, most: int | None) -> None:
        self.most, self.done = most, 0

    @property
    def is_over(self) -> bool:
        """Whether all that was allowed is done."""
        return self.most is not None and self.done >= self.most

    def part(self, parts: int) -> "WorkLimit":
        """A limit of one part in `parts` of the work left; the caller adds what was done to this one."""
        return WorkLimit(None if self.most is None else max(0, self.most - self.done) // parts)


class WeightBound:
    """A fast test that excludes most run lengths, by weights for the places of each form.

    Each order takes at least the weight of its lightest way to get enough cards. If all of these together weigh more
    than all places of the forms, there are too few places. The weights are integers, so the test is exact.
    """

    def __init__(self, wanted: Sequence[int], forms: int, up: int) -> None:
        self.wanted, self.up = np.array(wanted, dtype=np.int64)[:, None], up
        some = np.indices((up + 1,) * (forms - 1), dtype=np.int64).reshape(forms - 1, -1)
        self._first = some  # places on all forms but the last, every way
        self._weights = list(_parts_of(WEIGHT_PARTS.get(forms, forms), forms))

    def excludes(self, runs: Slots, work: WorkLimit) -> bool:
        """Whether these runs leave too few places; False where this test cannot tell."""
        rest = self.wanted - np.array(runs[:-1], dtype=np.int64) @ self._first
        last = np.maximum(0, -(-rest // runs[-1]))
        last[last > self.up] = NEVER
        for place, weights in enumerate(self._weights):
            work.done += 1 + last.size // 500
            lightest = (np.array(weights[:-1]) @ self._first + weights[-1] * last).min(axis=1)
            if int(lightest.sum()) > self.up * sum(weights):
                self._weights.insert(0, self._weights.pop(place))  # what told now will tell again
                return True
        return False


def _parts_of(total: int, forms: int) -> Iterator[Slots]:
    """All ways to part a weight among the forms."""
    if forms == 1:
        yield (total,)
        return
    for first in range(total + 1):
        for rest in _parts_of(total - first, forms - 1):
            yield (first, *rest)


class SlotTable:
    """The tables for one set of run lengths.

    Attributes:
        runs: sheets of each form, 1 or more.
        last: for the places used on all forms but the last, `places on the last * scale + stacks`, or NEVER.
    """

    def __init__(self, wanted: Sequence[int], runs: Sequence[int], up: int, work: WorkLimit) -> None:
        self.wanted, self.runs, self.up = wanted, tuple(runs), up
        self.scale = len(wanted) * len(self.runs) + 1
        self._steps: list[tuple[tuple[Slots, ...], Table]] = []
        start: Table = np.full((up + 1,) * (len(self.runs) - 1), NEVER, dtype=np.int64)
        start[(0,) * start.ndim] = 0
        self.last = start
        for order in wanted:
            self._add(smallest_ways(order, self.runs, up), work)

    def _add(self, ways: tuple[Slots, ...], work: WorkLimit) -> None:
        before = self.last
        after = np.full_like(before, NEVER)
        for way in ways:
            to, since = _shifted(way, self.up)
            np.minimum(after[to], before[since] + self._cost(way), out=after[to])
        after[after >= (self.up + 1) * self.scale] = NEVER
        self._steps.append((ways, before))
        self.last = after
        work.done += len(ways) * (3 + before.size // 1000)

    def _cost(self, way: Slots) -> int:
        return way[-1] * self.scale + sum(slots > 0 for slots in way)

    @property
    def fits(self) -> bool:
        """Whether there are places enough."""
        return bool((self.last < NEVER).any())

    def least_printed(self, runs: Sequence[int]) -> int:
        """Cards printed by the filling that prints least, were the forms printed `runs` times; NEVER without one."""
        return int(self._printed(runs).min())

    def _printed(self, runs: Sequence[int]) -> Table:
        """Cards printed, by places used."""
        printed = (self.last // self.scale) * runs[-1]
        for axis, run in enumerate(runs[:-1]):
            shape = [1] * self.last.ndim
            shape[axis] = self.up + 1
            printed = printed + run * np.arange(self.up + 1).reshape(shape)
        return np.where(self.last < NEVER, printed, NEVER)

    def best(self, runs: Sequence[int] | None = None) -> Filling:
        """The filling with the fewest overs, then the fewest stacks; needs `fits`.

        Args:
            runs: judge by these run lengths instead, though places were given out for others.
        """
        printed = self._printed(runs or self.runs)
        stacks = np.where(printed == printed.min(), self.last % self.scale, NEVER)
        at = tuple(int(index) for index in np.unravel_index(int(stacks.argmin()), stacks.shape))
        overs = int(printed.min()) - sum(self.wanted)
        return Filling(overs=overs, stacks=int(stacks.min()), slots=self._traced(at))

    def _traced(self, at: tuple[int, ...]) -> tuple[Slots, ...]:
        """How the orders came to the last table's entry, from the last order back to the first."""
        value = int(self.last[at])
        found: list[Slots] = []
        for ways, before in reversed(self._steps):
            way, at, value = next(self._came_from(ways, before, at, value))
            found.append(way)
        return tuple(reversed(found))

    def _came_from(
        self, ways: tuple[Slots, ...], before: Table, at: tuple[int, ...], value: int
    ) -> Iterator[tuple[Slots, tuple[int, ...], int]]:
        for way in ways:
            since = tuple(index - slots for index, slots in zip(at, way[:-1], strict=True))
            if min(since, default=0) >= 0 and int(before[since]) == value - self._cost(way):
                yield way, since, value - self._cost(way)


def _shifted(way: Slots, up: int) -> tuple[Any, Any]:
    """Where entries go when `way` is added, and where they come from."""
    to = tuple(slice(slots, up + 1) for slots in way[:-1])
    since = tuple(slice(0, up + 1 - slots) for slots in way[:-1])
    return to, since


def smallest_ways(wanted: int, runs: Slots, up: int) -> tuple[Slots, ...]:
    """All ways to get `wanted` cards of which no place can be spared, with at most `up` places on a form."""
    return tuple(way for way, too_many in _ways(wanted, runs, up) if _is_smallest(way, too_many, runs))


def _ways(wanted: int, runs: Slots, up: int) -> Iterator[tuple[Slots, int]]:
    """Ways that fill the forms in turn, the last just so far that it will do; with the cards too many."""
    enough = max(0, -(-wanted // runs[0]))
    if len(runs) == 1:
        if enough <= up:
            yield (enough,), enough * runs[0] - wanted
        return
    for slots in range(min(up, enough) + 1):
        for rest, too_many in _ways(wanted - slots * runs[0], runs[1:], up):
            yield (slots, *rest), too_many


def _is_smallest(way: Slots, too_many: int, runs: Slots) -> bool:
    return all(slots == 0 or run > too_many for slots, run in zip(way, runs, strict=True))
