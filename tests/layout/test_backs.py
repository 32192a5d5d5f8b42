"""Places and turns on the back page, by tables that were worked out by hand; a turn in space gives the same."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.layout.backs import box_behind, point_behind, turn_behind, turns_about_vertical_axis
from watcher.layout.geometry import Box, Point, Size
from watcher.terms import Backs, Flip, Turn

LETTER_PT = (612, 792)
A4_LANDSCAPE_MM = (297, 210)

# By hand: sheet, front rectangle, behind it for long edge, for short edge (points and millimetres alike).
BOXES = [
    (LETTER_PT, (36, 36, 288, 180), (324, 36, 576, 180), (36, 612, 288, 756)),
    (LETTER_PT, (36, 612, 288, 756), (324, 612, 576, 756), (36, 36, 288, 180)),
    (LETTER_PT, (324, 300, 468, 552), (144, 300, 288, 552), (324, 240, 468, 492)),
    (A4_LANDSCAPE_MM, (10, 10, 95, 65), (10, 145, 95, 200), (202, 10, 287, 65)),
    (A4_LANDSCAPE_MM, (10, 145, 95, 200), (10, 10, 95, 65), (202, 145, 287, 200)),
    (A4_LANDSCAPE_MM, (150, 40, 205, 125), (150, 85, 205, 170), (92, 40, 147, 125)),
]
POINTS = [
    (LETTER_PT, (0, 0), (612, 0), (0, 792)),
    (LETTER_PT, (72, 720), (540, 720), (72, 72)),
    (LETTER_PT, (306, 396), (306, 396), (306, 396)),
    (A4_LANDSCAPE_MM, (0, 0), (0, 210), (297, 0)),
    (A4_LANDSCAPE_MM, (20, 190), (20, 20), (277, 190)),
]
# Turn of the back for fronts turned by 0, 90, 180, 270. Source: worked out by hand with a sheet turned in space.
TURNS = [
    ("vertical", Backs.HEAD_TO_HEAD, (0, 270, 180, 90)),
    ("vertical", Backs.HEAD_TO_TOE, (180, 90, 0, 270)),
    ("horizontal", Backs.HEAD_TO_HEAD, (180, 90, 0, 270)),
    ("horizontal", Backs.HEAD_TO_TOE, (0, 270, 180, 90)),
]
SQUARE = Size(Fraction(250), Fraction(250))
SHEETS = st.builds(Size, st.fractions(100, 500), st.fractions(100, 500))


def _box(edges: tuple[int, ...]) -> Box:
    return Box(*(Fraction(edge) for edge in edges))


def _size(sides: tuple[int, int]) -> Size:
    return Size(Fraction(sides[0]), Fraction(sides[1]))


@pytest.mark.parametrize(("sheet", "front", "long_edge", "short_edge"), BOXES)
def test_a_box_lies_behind_its_front_as_in_the_worked_table(sheet, front, long_edge, short_edge):
    assert box_behind(_box(front), _size(sheet), Flip.LONG_EDGE) == _box(long_edge)
    assert box_behind(_box(front), _size(sheet), Flip.SHORT_EDGE) == _box(short_edge)


@pytest.mark.parametrize(("sheet", "front", "long_edge", "short_edge"), POINTS)
def test_a_point_lies_behind_its_front_as_in_the_worked_table(sheet, front, long_edge, short_edge):
    point = Point(Fraction(front[0]), Fraction(front[1]))
    behind = {flip: point_behind(point, _size(sheet), flip) for flip in Flip}
    assert (behind[Flip.LONG_EDGE].x, behind[Flip.LONG_EDGE].y) == long_edge
    assert (behind[Flip.SHORT_EDGE].x, behind[Flip.SHORT_EDGE].y) == short_edge


@pytest.mark.parametrize(("axis", "backs", "turns"), TURNS)
@pytest.mark.parametrize("sheet", [LETTER_PT, A4_LANDSCAPE_MM])
def test_a_back_is_turned_as_in_the_worked_table(axis, backs, turns, sheet):
    flip = next(flip for flip in Flip if turns_about_vertical_axis(_size(sheet), flip) is (axis == "vertical"))
    assert tuple(turn_behind(turn, _size(sheet), flip, backs) for turn in Turn) == turns


@pytest.mark.parametrize(("flip", "vertical"), [(Flip.LONG_EDGE, True), (Flip.SHORT_EDGE, False)])
def test_a_square_sheet_turns_like_a_portrait_one(flip, vertical):
    assert turns_about_vertical_axis(SQUARE, flip) is vertical


@given(st.tuples(*[st.fractions(0, 500)] * 4), SHEETS, st.sampled_from(Flip))
def test_turning_the_sheet_twice_changes_nothing(edges, sheet, flip):
    box = Box(*edges)
    assert box_behind(box_behind(box, sheet, flip), sheet, flip) == box


@given(st.sampled_from(Turn), SHEETS, st.sampled_from(Flip), st.sampled_from(Backs))
def test_the_front_is_turned_behind_its_back_as_the_back_behind_its_front(turn, sheet, flip, backs):
    assert turn_behind(turn_behind(turn, sheet, flip, backs), sheet, flip, backs) == turn
