"""`[cutters.NAME]`: what cuts the cards apart."""

from fractions import Fraction

from pydantic import Field

from watcher.settings import fields
from watcher.settings.amounts import Pile
from watcher.settings.table import Table
from watcher.terms import CutterKind

_PILES = {
    CutterKind.GUILLOTINE: Pile(height=Fraction(40)),
    CutterKind.TRIMMER: Pile(sheets=3),
    CutterKind.SCISSORS: Pile(sheets=1),
}
_LEAST_GAUGES = {CutterKind.GUILLOTINE: Fraction(30), CutterKind.TRIMMER: Fraction(0), CutterKind.SCISSORS: Fraction(0)}


class CutterSettings(Table):
    """`[cutters.NAME]`: what cuts the cards apart.

    Attributes:
        name: from the heading of the table.
        kind: the kind of cutter.
        pile: how much paper it cuts at a time.
        least_gauge: the shortest distance from its gauge to the knife, mm.
    """

    name: fields.Name
    kind: fields.CutterWord = CutterKind.GUILLOTINE
    pile: fields.PileHeight = Field(default_factory=lambda cutter: _PILES[cutter["kind"]])
    least_gauge: fields.Length = Field(default_factory=lambda cutter: _LEAST_GAUGES[cutter["kind"]])


GUILLOTINE = CutterSettings(name="guillotine")  # where a sheet names none
