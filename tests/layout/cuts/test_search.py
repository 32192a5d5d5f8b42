"""The search for the fewest strokes, in whole numbers."""

from watcher.layout.cuts.pieces import Axis
from watcher.layout.cuts.search import CutSearch, Rules
from watcher.layout.whole_numbers import WholeBox

LEFT, RIGHT = WholeBox(10, 10, 45, 50), WholeBox(55, 10, 90, 50)
PINWHEEL = [WholeBox(0, 0, 60, 40), WholeBox(60, 0, 100, 60), WholeBox(40, 60, 100, 100), WholeBox(0, 40, 40, 100)]


def search(*trims, sheet=(100, 60), high=(False, True), any_printed=False):
    return CutSearch(trims, Rules(sheet=sheet, printed_high=high, any_printed=any_printed))


def test_two_cards_with_a_gutter_need_a_stroke_a_line():
    cuts = search(LEFT, RIGHT).fewest()
    assert sorted((cut.axis, cut.line) for cut in cuts) == [(0, 10), (0, 45), (0, 55), (0, 90), (1, 10), (1, 50)]


def test_the_first_stroke_of_each_axis_is_gauged_from_the_printed_edge():
    cuts = search(LEFT, RIGHT, high=(True, False)).fewest()
    first = {axis: next(cut for cut in cuts if cut.axis is axis) for axis in Axis}
    assert (first[Axis.X].gauge.high, first[Axis.X].gauge.at) == (True, 100)
    assert (first[Axis.Y].gauge.high, first[Axis.Y].gauge.at) == (False, 0)


def test_the_halves_of_a_piece_are_none_where_they_are_waste():
    found = search(LEFT, RIGHT)
    low, high = found.halves(found.sheet, Axis.X, 10)
    assert low is None
    assert high.box == WholeBox(10, 0, 100, 60)
    assert found.halves(found.sheet, Axis.X, 50)[0].cards == (LEFT,)


def test_a_card_as_large_as_the_sheet_needs_no_stroke():
    assert search(WholeBox(0, 0, 100, 60)).fewest() == []


def test_a_pattern_that_no_cut_goes_through_has_no_plan():
    assert search(*PINWHEEL, sheet=(100, 100), any_printed=True).fewest() is None
