"""How long a new card on a new sheet takes: `python tests/bench/bench_layout.py`.

The hardest cards are small and nearly square on 13 x 19 in: the most different sums of sides. Times are compared with
a plain grid on the same sheet in the same run, since machines differ.
"""

import statistics
import time
from collections.abc import Callable
from fractions import Fraction

from watcher.layout.geometry import Size
from watcher.layout.guillotine import best_pattern
from watcher.layout.pattern import best_plain_grid

SHEET = Size(Fraction("330.2"), Fraction("482.6"))
CARDS = ("85 55", "127 177.8", "25 26", "25.4 31.7", "25.13 25.97", "25 25.7")


def median_ms(run: Callable[[], object], times: int = 7) -> float:
    """The median time of a call, milliseconds."""
    took = []
    for _ in range(times):
        best_pattern.cache_clear()
        began = time.perf_counter()
        run()
        took.append((time.perf_counter() - began) * 1000)
    return statistics.median(took)


def main() -> None:
    """Print a table."""
    print(f"{'card':>14} {'gutter':>7} {'cards':>6} {'search ms':>10} {'grid ms':>8}")  # noqa: T201 - a table is its purpose
    for card in CARDS:
        size = Size(*(Fraction(side) for side in card.split()))
        for gutter in (Fraction(0), Fraction("0.3"), Fraction(6)):
            best = median_ms(lambda size=size, gutter=gutter: best_pattern(SHEET, size, gutter))
            grid = median_ms(lambda size=size, gutter=gutter: best_plain_grid(SHEET, size, gutter))
            up = best_pattern(SHEET, size, gutter).up
            print(f"{card:>14} {float(gutter):>7} {up:>6} {best:>10.1f} {grid:>8.2f}")  # noqa: T201


if __name__ == "__main__":
    main()
