"""A plain request to lay out, for every room that needs a solved layout."""

from fractions import Fraction
from typing import Any

from watcher.layout.geometry import Margins, Size
from watcher.layout.model import LayoutRequest
from watcher.terms import Backs, Duplex, Feed, Flip, Prefer

LETTER = Size(Fraction("215.9"), Fraction("279.4"))


def plain_request(**changes: Any) -> LayoutRequest:
    """5 x 7 in, two-sided, on letter with a quarter inch rim; any attribute changed by its name."""
    plain: dict[str, Any] = {
        "sheet": LETTER,
        "trim": Size(Fraction(127), Fraction("177.8")),
        "bleed": Fraction("3.175"),
        "least_bleed": Fraction("3.175"),
        "gutter": Fraction("6.35"),
        "unprintable": Margins.all_round(Fraction("6.35")),
        "unprintable_back": None,
        "two_sided": True,
        "flip": Flip.LONG_EDGE,
        "duplex": Duplex.AUTOMATIC,
        "feed": Feed.SHORT_EDGE,
        "backs": Backs.HEAD_TO_HEAD,
        "mixed_turns": True,
        "prefer": Prefer.MOST_CARDS,
        "cards_wanted": 1,
    }
    return LayoutRequest(**(plain | changes))
