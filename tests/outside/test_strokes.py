"""Strokes of the knife against published counts and a worked example."""

from fractions import Fraction

import pytest

from tests.layout.a_request import plain_request
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.geometry import Margins, Size
from watcher.layout.lay_out import lay_out

INCH = Fraction("25.4")
NOTHING = Fraction(0)


def _grid(sheet, card, gutter, rim):
    return lay_out(
        plain_request(
            sheet=sheet,
            trim=card,
            bleed=NOTHING,
            least_bleed=NOTHING,
            gutter=gutter,
            unprintable=Margins.all_round(rim),
            two_sided=False,
            flip=None,
            mixed_turns=False,
        )
    )


def test_twelve_business_cards_on_letter():
    """3.5 x 2 in 12-up on letter, rim 6.35 mm, shared cuts: 9 strokes (common practice, no other source)."""
    layout = _grid(Size(Fraction("8.5") * INCH, 11 * INCH), Size(Fraction("3.5") * INCH, 2 * INCH), NOTHING, INCH / 4)
    gauges = [float(stroke.gauge) for stroke in plan_cuts(layout, least_gauge=Fraction(30)).strokes]
    assert layout.up == 12
    assert gauges == [209.55, 203.2, 152.4, 101.6, 50.8, 273.05, 266.7, 177.8, 88.9]


@pytest.mark.parametrize("columns", [1, 2, 3, 5])
@pytest.mark.parametrize("rows", [1, 2, 4])
def test_strokes_of_a_grid(columns, rows):
    """Calculated: shared cuts (n + 1) + (m + 1); with gutters 2n + 2m when strips are cut together."""
    card, rim = Size(Fraction(90), Fraction(50)), Fraction(10)
    for gutter, strokes in ((NOTHING, columns + 1 + rows + 1), (Fraction(6), 2 * columns + 2 * rows)):
        sheet = Size(
            columns * (card.width + gutter) - gutter + 2 * rim, rows * (card.height + gutter) - gutter + 2 * rim
        )
        layout = _grid(sheet, card, gutter, rim)
        assert layout.up == columns * rows
        assert len(plan_cuts(layout).strokes) == strokes
