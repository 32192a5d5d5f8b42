"""Which place is whose: an order's cards lie together and come apart early, at no stroke more."""

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from tests.long_form import LONG
from watcher.errors import NoCardFits
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.gang.places import give_places
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.model import Face, Layout, Place
from watcher.terms import Turn

EXAMPLES = 300 if LONG else 7


def _grid(columns, rows, gutter=6):
    """Cards of 50 x 40 mm in a grid, 10 mm of rim all round."""
    sheet = Size(Fraction(columns * (50 + gutter) - gutter + 20), Fraction(rows * (40 + gutter) - gutter + 20))
    trims = [
        Box.at(Fraction(10 + column * (50 + gutter)), sheet.height - 10 - 40 - row * (40 + gutter), Size(50, 40))
        for row in range(rows)
        for column in range(columns)
    ]
    faces = [Face(trim=trim, bleed_box=trim, turn=Turn.NONE) for trim in trims]
    return Layout(
        sheet=sheet,
        trim=Size(Fraction(50), Fraction(40)),
        bleed=Fraction(0),
        places=tuple(Place(number=number, front=face, back=None) for number, face in enumerate(faces, start=1)),
        printable=Box.at(Fraction(0), Fraction(0), sheet).within(Margins.all_round(Fraction(5))),
        flip=None,
        cut_lines=2 * (columns + rows),
        mixed=False,
    )


def _given(layout, slots):
    return give_places(layout, plan_cuts(layout), slots)


@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_every_order_has_as_many_places_as_it_is_given(draw_request, data):
    """Any everyday layout, any shares; no place has two owners."""
    try:
        layout = lay_out(draw_request(data))
    except NoCardFits:
        assume(False)
    assume(layout.up <= 40)
    slots, left = [], layout.up
    for _ in range(data.draw(st.integers(1, 6))):
        slots.append(data.draw(st.integers(0, left)))
        left -= slots[-1]
    owned = _given(layout, slots)
    assert [len(one.places) for one in owned] == slots
    everything = [number for one in owned for number in one.places]
    assert len(everything) == len(set(everything))
    assert set(everything) <= {place.number for place in layout.places}
    assert all(one.pieces <= max(1, len(one.places)) for one in owned)


@pytest.mark.parametrize("gutter", [0, 6])
def test_four_orders_on_24_places_have_a_column_each(gutter):
    """Each comes off in one piece while the sheet is parted into columns, before the first card is cut."""
    layout = _grid(4, 6, gutter)
    owned = _given(layout, [6, 6, 6, 6])
    assert [one.places for one in owned] == [tuple(range(column, 25, 4)) for column in (1, 2, 3, 4)]
    assert [one.pieces for one in owned] == [1, 1, 1, 1]
    strokes = plan_cuts(layout).strokes
    assert max(one.apart_after for one in owned) < len(strokes) - 6


def test_halves_of_a_sheet_are_two_columns_each():
    """One half stays at the gauge in one piece; the other comes off as two strips."""
    owned = _given(_grid(4, 6), [12, 12])
    assert owned[0].places == tuple(sorted([*range(1, 25, 4), *range(2, 25, 4)]))
    assert sorted(one.pieces for one in owned) == [1, 2]


def test_unlike_orders_lie_in_blocks():
    """10, 6, 4 and 4 on 24: the 6 in one piece, and no order in more pieces than it takes."""
    owned = _given(_grid(4, 6), [10, 6, 4, 4])
    assert owned[1].pieces == 1
    assert sum(one.pieces for one in owned) <= 12


def test_an_order_with_the_sheet_to_itself_needs_no_parting():
    (owned,) = _given(_grid(3, 2), [6])
    assert (owned.apart_after, owned.pieces) == (0, 1)


def test_an_order_that_is_not_on_this_sheet_has_no_places():
    first, second = _given(_grid(3, 2), [0, 6])
    assert (first.places, first.apart_after, first.pieces) == ((), 0, 0)
    assert second.places == (1, 2, 3, 4, 5, 6)


def test_places_left_over_belong_to_nobody():
    owned = _given(_grid(4, 6), [6, 12])
    assert sum(len(one.places) for one in owned) == 18
    assert [one.pieces for one in owned] == [1, 1]


def test_more_orders_than_are_weighed_still_get_their_places():
    owned = _given(_grid(4, 6), [1] * 20)
    assert sorted(number for one in owned for number in one.places) == sorted({one.places[0] for one in owned})


def test_more_places_than_there_are_is_refused():
    with pytest.raises(ValueError, match="7 places wanted on a sheet of 6"):
        _given(_grid(3, 2), [4, 3])
