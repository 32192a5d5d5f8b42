"""Changes of axes in floating point."""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Box, Point, Size
from watcher.layout.model import Face
from watcher.layout.register.alignment import Correction
from watcher.layout.register.corrected import corrected
from watcher.sheet.frames import Frame, card_on_page, correcting
from watcher.terms import Turn

SHEET = Size(Fraction(210), Fraction(297))
CORRECTION = Correction(shift=Point(Fraction("0.8"), Fraction("-0.3")), turn_degrees=0.4, scale_x=1.002, scale_y=0.997)


def test_the_frame_after_another_does_the_other_first():
    assert Frame.moved(10, 0).after(Frame.scaled(2, 3)).at(1, 1) == (12, 3)
    assert Frame.scaled(2, 3).after(Frame.moved(10, 0)).at(1, 1) == (22, 3)


def test_the_inverse_undoes_a_frame():
    frame = correcting(CORRECTION, SHEET).after(Frame.scaled(2, 3))
    assert frame.inverse.at(*frame.at(12.5, -7)) == pytest.approx((12.5, -7))


@pytest.mark.parametrize(
    ("turn", "corner"), [(Turn.NONE, (20, 30)), (Turn.LEFT, (60, 30)), (Turn.HALF, (60, 100)), (Turn.RIGHT, (20, 100))]
)
def test_the_lower_left_of_a_card_goes_to_the_corner_that_its_turn_says(turn, corner):
    trim = Box(Fraction(20), Fraction(30), Fraction(60), Fraction(100))
    face = Face(trim=trim, bleed_box=trim, turn=turn)
    assert card_on_page(face, None, SHEET).at(0, 0) == pytest.approx(corner)


def test_a_correction_moves_points_as_the_matrix_in_the_pdf_does():
    for x, y in ((0, 0), (210, 297), (50, 200)):
        wanted = corrected(Point(Fraction(x), Fraction(y)), CORRECTION, SHEET)
        assert correcting(CORRECTION, SHEET).at(x, y) == pytest.approx((float(wanted.x), float(wanted.y)), abs=1e-5)


def test_a_correction_turns_about_the_middle_of_the_sheet():
    assert correcting(Correction(turn_degrees=5, scale_x=1.1), SHEET).at(105, 148.5) == pytest.approx((105, 148.5))
