"""Where the marks stand: printable on both faces, behind each other, clear of words."""

from fractions import Fraction

import pytest

from watcher.align.register.target import BACK_RING_MM, RING_WIDTH_MM, place_target
from watcher.align.register.target_sheet import text_boxes
from watcher.errors import WrongUsage
from watcher.layout.backs import box_behind, point_behind
from watcher.layout.geometry import Box, Margins, Point, Size
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.terms import Duplex, Flip, Side

SIZES = ["letter", "A4", "SRA3", "13 x 19 in", "297 x 210 mm", "4.5 x 6.5 in", "250 x 250 mm", "11 x 8.5 in"]
RIMS = [Margins.all_round(Fraction("6.35")), Margins(Fraction(5), Fraction(4), Fraction(14), Fraction(3))]


def placed(size="letter", flip=Flip.LONG_EDGE, duplex=Duplex.MANUAL, rim=RIMS[0]):
    sheet = SheetSettings(name="s", size=size, printer="p", unprintable=rim)
    return sheet, place_target(sheet, PrinterSettings(name="p", flip=flip, duplex=duplex))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("flip", list(Flip))
@pytest.mark.parametrize("duplex", list(Duplex))
@pytest.mark.parametrize("rim", RIMS)
class TestEveryTarget:
    def test_has_six_marks_with_numbers(self, size, flip, duplex, rim):
        assert [mark.number for mark in placed(size, flip, duplex, rim)[1].marks] == [1, 2, 3, 4, 5, 6]

    def test_has_each_scale_exactly_behind_its_cross(self, size, flip, duplex, rim):
        sheet, target = placed(size, flip, duplex, rim)
        assert all(mark.back == point_behind(mark.front, sheet.size, flip) for mark in target.marks)

    def test_keeps_rings_within_what_both_faces_print(self, size, flip, duplex, rim):
        """A ring with its line and its numbers stays 2 mm clear of the rim, for a page may lie that far off."""
        sheet, target = placed(size, flip, duplex, rim)
        page = Box.at(Fraction(0), Fraction(0), sheet.size)
        reach = BACK_RING_MM + RING_WIDTH_MM / 2 + 2
        for mark in target.marks:
            for place in (mark.front, mark.back):
                around = Box.at(place.x - reach, place.y - reach, Size(2 * reach, 2 * reach))
                assert page.within(rim).contains(around)

    def test_keeps_words_clear_of_marks_and_dot(self, size, flip, duplex, rim):
        _, target = placed(size, flip, duplex, rim)
        for side in Side:
            for box in text_boxes(target, side):
                assert box.height > 8
                for place in [mark.on(side) for mark in target.marks]:
                    reach = BACK_RING_MM + RING_WIDTH_MM / 2 + 3
                    assert not box.overlaps(Box.at(place.x - reach, place.y - reach, Size(2 * reach, 2 * reach)))
                dot = target.dot(side)
                assert not box.overlaps(Box.at(dot.x - 2, dot.y - 2, Size(Fraction(4), Fraction(4))))


def test_marks_are_numbered_as_the_front_is_read():
    target = placed()[1]
    places = [(mark.front.x, -mark.front.y) for mark in target.marks]
    assert [place[1] for place in places] == sorted(place[1] for place in places)
    assert places[0][0] < places[1][0]


def test_marks_are_spread_out():
    """The further apart, the better a turn is told: over 60 % of the sheet both ways."""
    target = placed("A4")[1]
    assert target.marks[1].front.x - target.marks[0].front.x > Fraction(210) * 6 / 10
    assert target.marks[0].front.y - target.marks[5].front.y > Fraction(297) * 6 / 10


def test_the_dot_is_at_mark_1_alone_and_towards_the_middle():
    target = placed()[1]
    assert target.dot(Side.FRONT) == Point(target.marks[0].front.x, target.marks[0].front.y - Fraction("14.5"))
    assert box_behind(target.printable, target.sheet, target.flip).contains(
        Box.at(target.dot(Side.BACK).x, target.dot(Side.BACK).y, Size(Fraction(1), Fraction(1)))
    )


def test_a_sheet_that_is_too_small_is_refused_with_the_way_out():
    with pytest.raises(WrongUsage, match=r"s is 89 x 127 mm, too small.*by hand"):
        placed("89 x 127 mm")


def test_a_rim_that_leaves_nothing_is_refused():
    with pytest.raises(WrongUsage, match="rim leaves nothing"):
        placed("A6", rim=Margins.all_round(Fraction(60)))


def test_a_mark_that_is_not_there_is_refused_with_those_that_are():
    with pytest.raises(WrongUsage, match="no mark 7.*1 to 6"):
        placed()[1].mark(7)
