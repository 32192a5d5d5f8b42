"""From readings to a correction: signs, terms, refusals, scatter.

Oracles of another kind: tests/outside/test_affine_fit.py.
"""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import Correction, Terms, correction_matrix
from watcher.layout.register.fit import expected, fit_register
from watcher.layout.register.readings import ReadBy, Reading, ReadingsRefused

A4 = Size(Fraction(210), Fraction(297))
SIX = {1: (20, 277), 2: (190, 277), 3: (20, 148), 4: (190, 148), 5: (20, 20), 6: (190, 20)}


def read(mark, right, up, place=None):
    x, y = place or SIX[mark]
    return Reading(mark=mark, place=Point(Fraction(x), Fraction(y)), right=Fraction(right), up=Fraction(up))


def sheet(right="0.8", up="0.5", **others):
    """Six marks read alike, but for those given as m3=("0.1", "0.2")."""
    return [read(mark, *others.get(f"m{mark}", (right, up))) for mark in SIX]


def by(correction, marks=SIX):
    """What pins read where this correction is exactly right."""
    return [
        read(mark, *(Fraction(value) for value in expected(Point(*map(Fraction, place)), correction, A4)))
        for mark, place in marks.items()
    ]


@pytest.mark.parametrize("sheets", [[[read(3, "0.8", "0.5")]], [sheet()], [sheet(), sheet()]])
def test_a_pin_at_plus_8_plus_5_tenths_moves_the_back_by_as_much(sheets):
    """The check value of the sign: right and up on the back's scale is where the back must go."""
    correction = fit_register(sheets, A4).correction
    assert (correction.shift.x, correction.shift.y) == (Fraction("0.8"), Fraction("0.5"))
    assert correction_matrix(correction, A4) == pytest.approx((1, 0, 0, 1, 0.8 * 72 / 25.4, 0.5 * 72 / 25.4), abs=1e-6)


@given(st.tuples(*[st.floats(-3, 3)] * 2), st.floats(-1, 1), st.tuples(*[st.floats(0.99, 1.01)] * 2), st.integers(3, 6))
def test_exact_readings_give_the_correction_they_were_made_from(shift, turn, scale, marks):
    true = Correction(
        shift=Point(Fraction(shift[0]), Fraction(shift[1])), turn_degrees=turn, scale_x=scale[0], scale_y=scale[1]
    )
    found = fit_register([by(true, dict(list(SIX.items())[:marks]))], A4)
    assert found.correction.turn_degrees == pytest.approx(turn, abs=1e-5)
    assert (found.correction.scale_x, found.correction.scale_y) == pytest.approx(scale, abs=1e-7)
    assert [float(way) for way in (found.correction.shift.x, found.correction.shift.y)] == pytest.approx(
        shift, abs=1e-5
    )
    assert found.worst.distance < 1e-4


class TestTerms:
    def test_one_mark_tells_a_shift(self):
        assert fit_register([[read(2, "0.3", "-0.2")]], A4).terms is Terms.SHIFT

    def test_two_marks_tell_a_turn_too(self):
        true = Correction(shift=Point(Fraction("0.4"), Fraction("-0.3")), turn_degrees=0.2)
        found = fit_register([by(true, {1: SIX[1], 6: SIX[6]})], A4)
        assert found.terms is Terms.SHIFT_TURN
        assert found.correction.turn_degrees == pytest.approx(0.2, abs=1e-5)
        assert (found.correction.scale_x, found.correction.scale_y) == (1, 1)

    def test_three_marks_that_are_not_in_line_tell_everything(self):
        assert fit_register([sheet()[:3]], A4).terms is Terms.ALL

    def test_the_same_mark_on_many_sheets_is_one_mark(self):
        found = fit_register([[read(1, "0.3", 0)], [read(1, "0.5", 0)], [read(1, "0.1", 0)]], A4)
        assert found.terms is Terms.SHIFT
        assert found.correction.shift.x == Fraction("0.3")


class TestRefused:
    def test_are_marks_in_line_by_their_numbers(self):
        with pytest.raises(ReadingsRefused, match="Marks 1, 3 and 5 stand in one line"):
            fit_register([[read(mark, 0, 0) for mark in (1, 3, 5)]], A4)

    def test_are_marks_nearly_in_line(self):
        places = {1: (20, 20), 2: (105, 150), 3: (190, 277), 4: (110, 150)}
        with pytest.raises(ReadingsRefused, match="one line"):
            fit_register([[read(mark, 0, 0, place) for mark, place in places.items()]], A4)

    def test_are_two_marks_close_together(self):
        with pytest.raises(ReadingsRefused, match="too close"):
            fit_register([[read(1, 0, 0, (20, 20)), read(2, 0, 0, (20, 50))]], A4)

    def test_are_not_two_marks_as_far_apart_as_a_turn_needs(self):
        """40 mm, our own choice."""
        near, far = ([read(1, 0, 0, (20, 20)), read(2, 0, 0, (20, 20 + apart))] for apart in (39, 41))
        with pytest.raises(ReadingsRefused, match="too close"):
            fit_register([near], A4)
        assert fit_register([far], A4).terms is Terms.SHIFT_TURN

    @pytest.mark.parametrize("sheets", [[], [[]], [[], []]])
    def test_are_no_readings(self, sheets):
        with pytest.raises(ReadingsRefused, match="No mark was read"):
            fit_register(sheets, A4)

    @pytest.mark.parametrize("wrong", [1, 2, 3, 4, 5, 6])
    def test_is_a_mark_that_does_not_fit_by_name_and_numbers(self, wrong):
        with pytest.raises(ReadingsRefused, match=rf"Mark {wrong} .* \+0.8, -1.5 mm, they say \+0.8, \+0.5 mm"):
            fit_register([sheet(**{f"m{wrong}": ("0.8", "-1.5")})], A4)

    def test_is_a_misreading_on_one_sheet_that_the_mean_would_hide(self):
        sheets = [sheet(), sheet(), sheet(m4=("2.4", "0.5")), sheet(), sheet()]
        with pytest.raises(ReadingsRefused, match="Mark 4 on sheet 3"):
            fit_register(sheets, A4)

    def test_is_no_residual_of_half_a_millimetre(self):
        """Two marks 170 mm apart, pulled apart by 1 mm: each is left with 0.5 mm, which is still accepted."""
        pair = {1: (20, 148), 2: (190, 148)}
        off = [read(1, "-0.49", 0, pair[1]), read(2, "0.49", 0, pair[2])]
        assert fit_register([off], A4).worst.distance == pytest.approx(0.49)
        too_far = [read(1, "-0.51", 0, pair[1]), read(2, "0.51", 0, pair[2])]
        with pytest.raises(ReadingsRefused, match="0.51 mm apart; 0.5 mm is the most"):
            fit_register([too_far], A4)

    def test_is_a_turn_that_no_printer_makes(self):
        with pytest.raises(ReadingsRefused, match="2.5 degrees"):
            fit_register([by(Correction(turn_degrees=2.5))], A4)

    @pytest.mark.parametrize(
        ("scale", "words"),
        [((0.97, 1), "too wide"), ((1.03, 1), "too narrow"), ((1, 0.97), "too tall"), ((1, 1.03), "too short")],
    )
    def test_is_a_page_that_was_not_printed_at_actual_size(self, scale, words):
        with pytest.raises(ReadingsRefused, match=f"3.0% {words}.*actual size"):
            fit_register([by(Correction(scale_x=scale[0], scale_y=scale[1]))], A4)


def test_four_marks_do_not_tell_which_of_them_is_misread():
    """1.6 mm at one corner leaves as much at its neighbours."""
    four = [one for one in sheet(m1=("-2.8", "0.5")) if one.mark in (1, 2, 5, 6)]
    with pytest.raises(ReadingsRefused, match="Marks 1, 2, 5 and 6 do not fit together.*a fifth mark would tell"):
        fit_register([four], A4)


class TestScans:
    """Limits from what fair scans leave, 0.04 mm (measured; tests/align)."""

    @staticmethod
    def bent(by):
        """The middle pair of marks off by so much; a third of it goes into the shift."""
        return sheet(m3=("0.8", str(0.5 + by)), m4=("0.8", str(0.5 + by)))

    def test_that_leave_more_than_fifteen_hundredths_are_refused(self):
        assert fit_register([self.bent(0.22)], A4, ReadBy.SCANS).worst.distance == pytest.approx(0.147, abs=0.001)
        with pytest.raises(ReadingsRefused, match="stays 0.16 mm off, and 0.15 mm is the most"):
            fit_register([self.bent(0.24)], A4, ReadBy.SCANS)

    def test_are_looked_at_sheet_by_sheet(self):
        with pytest.raises(ReadingsRefused, match="The marks on sheet 2 do not fit"):
            fit_register([sheet(), self.bent(0.24), sheet()], A4, ReadBy.SCANS)


class TestSheets:
    def test_are_averaged(self):
        found = fit_register([sheet("0.6", "0.4"), sheet("0.8", "0.5"), sheet("1.0", "0.6")], A4)
        assert [float(way) for way in (found.correction.shift.x, found.correction.shift.y)] == pytest.approx([0.8, 0.5])
        assert found.sheets == 3

    def test_need_not_all_have_all_marks(self):
        """Mark 1 is read on both sheets, the others on one; that they count accordingly: tests/outside."""
        found = fit_register([sheet("0.8", "0.5"), sheet("0.9", "0.5")[:1]], A4)
        assert len(found.residuals) == 6
        assert found.sheets == 2

    def test_differ_by_what_no_correction_mends(self):
        """Two sheets 0.2 mm apart everywhere: standard deviation 0.2 / sqrt 2 (of a sample of two), range 0.2."""
        scatter = fit_register([sheet("0.7"), sheet("0.9")], A4).scatter
        assert scatter.typical == pytest.approx(0.2 / math.sqrt(2))
        assert scatter.worst == pytest.approx(0.2)

    def test_one_alone_shows_no_scatter(self):
        assert fit_register([sheet()], A4).scatter is None
