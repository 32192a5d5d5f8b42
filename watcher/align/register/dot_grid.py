"""Place the dots of a target's label on a page: geometry alone, mm.

Two small grids say the same, one below the top row of marks and one above the lowest, both between the first two
columns. Each bit has two places side by side and one dot: at the left for 1, at the right for 0. So a bit is read by
comparing two neighbours, and faint toner, a shadow or a stain changes nothing.
"""

from collections.abc import Iterator
from fractions import Fraction

from watcher.align.register.label import LABEL_BITS
from watcher.align.register.target import Target
from watcher.layout.geometry import Point
from watcher.terms import Side

PAIRS = 15  # bits in a row; as much as fits between two columns of the smallest sheet
ROWS = LABEL_BITS // PAIRS
PITCH_MM = Fraction("0.95")
LABEL_DOT_MM = Fraction("0.62")  # across: 4 pixels at 150 ppi
_AWAY_MM = Fraction(15)  # from the row of marks to the middle of the grid: between their words and the text


def grid_middles(target: Target, side: Side) -> tuple[Point, Point]:
    """Give the middles of the two grids, in the axes of the page."""
    rows = sorted({mark.on(side).y for mark in target.marks})
    first, second = sorted({mark.on(side).x for mark in target.marks})[:2]
    middle = (first + second) / 2
    return Point(middle, rows[-1] - _AWAY_MM), Point(middle, rows[0] + _AWAY_MM)


def bit_places() -> Iterator[tuple[Point, Point]]:
    """Give the left and the right place of each bit, from the middle of the grid."""
    for bit in range(LABEL_BITS):
        row, pair = divmod(bit, PAIRS)
        up = (Fraction(ROWS - 1, 2) - row) * PITCH_MM
        left, right = ((2 * pair + column - PAIRS + Fraction(1, 2)) * PITCH_MM for column in (0, 1))
        yield Point(left, up), Point(right, up)
