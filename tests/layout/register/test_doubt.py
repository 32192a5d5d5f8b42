"""What is doubted before a correction is kept: misread marks, too few of them, and what no printer needs."""

from fractions import Fraction

import numpy as np
import pytest

from tests.long_form import LONG
from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import Correction
from watcher.layout.register.doubt import DoubtKind, doubts
from watcher.layout.register.fit import expected, fit_register
from watcher.layout.register.readings import ReadBy, Reading, ReadingsRefused

A4 = Size(Fraction(210), Fraction(297))
SIX = {1: (20, 277), 2: (190, 277), 3: (20, 148), 4: (190, 148), 5: (20, 20), 6: (190, 20)}
SHEETS = 200 if LONG else 50
USUAL = Correction(shift=Point(Fraction("0.8"), Fraction("-0.5")), turn_degrees=0.2, scale_x=1.001, scale_y=0.999)


def read(mark, right, up):
    x, y = SIX[mark]
    return Reading(mark=mark, place=Point(Fraction(x), Fraction(y)), right=Fraction(right), up=Fraction(up))


def by(correction, marks=SIX, off=None):
    """What is read where this correction is exactly right, each reading off by what `off` says of its mark."""
    sheet = []
    for mark in marks:
        right, up = expected(Point(*map(Fraction, SIX[mark])), correction, A4)
        more = (off or {}).get(mark, (0, 0))
        sheet.append(read(mark, right + more[0], up + more[1]))
    return sheet


def doubted(*sheets, read_by=ReadBy.EYE):
    return doubts(sheets, fit_register(sheets, A4, read_by), A4, read_by)


def kinds(*sheets, **more):
    return [doubt.kind for doubt in doubted(*sheets, **more)]


class TestFair:
    @pytest.mark.parametrize("marks", [(1, 2, 3, 4, 5, 6), (1, 2, 5, 6), (1, 2, 3, 4, 5), (2, 3, 4, 5)])
    def test_readings_are_never_doubted_however_their_errors_fall(self, marks):
        """Many sheets, each number off by up to 0.1 mm: half a division of the scale."""
        chance = np.random.default_rng(3)
        for _ in range(SHEETS):
            off = {mark: chance.uniform(-0.1, 0.1, 2) for mark in marks}
            assert kinds(by(USUAL, marks, off)) == []

    def test_sheets_that_differ_as_wholes_are_not_doubted(self):
        shifts = [Correction(shift=Point(Fraction(right), Fraction(0))) for right in ("0.4", "0.8", "1.2")]
        assert kinds(*(by(shift) for shift in shifts)) == []


class TestMisread:
    @pytest.mark.parametrize("mark", SIX)
    @pytest.mark.parametrize("off", [(0.5, 0), (0, -0.5), (0.4, 0.4)])
    def test_is_one_of_six_by_its_number(self, mark, off):
        (doubt,) = doubted(by(USUAL, SIX, {mark: off}))
        assert doubt.kind is DoubtKind.MARK
        assert doubt.words.startswith(f"Look at mark {mark} again: it reads ")

    def test_is_one_on_one_sheet_that_the_mean_hides(self):
        doubt, *_ = doubted(by(USUAL), by(USUAL), by(USUAL, SIX, {4: (0.5, 0)}), by(USUAL))
        assert "mark 4 on sheet 3" in doubt.words

    @pytest.mark.parametrize("mark", [1, 2, 5, 6])
    @pytest.mark.parametrize("off", [(0.9, 0), (0, 0.9)])
    def test_is_one_of_four_with_those_that_it_could_be_too(self, mark, off):
        (doubt,) = doubted(by(USUAL, (1, 2, 5, 6), {mark: off}))
        assert doubt.kind is DoubtKind.MARK
        assert str(mark) in doubt.words

    def test_is_one_of_three_where_they_contradict_each_other_and_a_fourth_is_asked_for(self):
        """Up at the top right alone: the top row says a turn that the left column does not."""
        words = [doubt.words for doubt in doubted(by(USUAL, (1, 2, 5), {2: (0, 0.9)}))]
        assert words[0].startswith("Marks 1, 2 and 5 do not go together: one of them was misread.")
        assert "Read a fourth" in words[1]

    def test_is_seen_where_the_others_stand_in_line(self):
        """Marks 1, 3 and 5 with 2: without 2 nothing can be said of it, but the others can be tested."""
        kinds(by(USUAL, (1, 2, 3, 5)))
        assert DoubtKind.MARK in kinds(by(USUAL, (1, 2, 3, 5), {3: (0.7, 0)}))


class TestFew:
    @pytest.mark.parametrize("marks", [(1,), (1, 6), (1, 2, 5)])
    def test_marks_are_said_to_be_untested_even_when_they_agree(self, marks):
        assert kinds(by(USUAL if len(marks) > 2 else Correction(), marks)) == [DoubtKind.FEW]


class TestUnlikely:
    @pytest.mark.parametrize(
        ("correction", "words"),
        [
            (Correction(scale_x=1.012), "stretch it by 1.2%"),
            (Correction(scale_y=0.988), "stretch it by 1.2%"),
            (Correction(shift=Point(Fraction(0), Fraction(-9))), "move the back by 9.0 mm"),
            (Correction(turn_degrees=-1.5), "turn it by 1.5 degrees"),
        ],
    )
    @pytest.mark.parametrize("read_by", list(ReadBy))
    def test_is_a_correction_that_no_printer_has(self, correction, words, read_by):
        (doubt,) = doubted(by(correction), read_by=read_by)
        assert doubt.kind is DoubtKind.UNLIKELY
        assert words in doubt.words

    def test_is_none_that_printers_have(self):
        far = Correction(shift=Point(Fraction(4), Fraction(-4)), turn_degrees=0.8, scale_x=1.006, scale_y=0.995)
        assert kinds(by(far)) == []


class TestScans:
    def test_that_leave_a_tenth_are_doubted_and_fair_ones_are_not(self):
        off = {3: (0, 0.18), 4: (0, 0.18)}
        assert kinds(by(USUAL, SIX, off), read_by=ReadBy.SCANS) == [DoubtKind.SCANS]
        assert kinds(by(USUAL, SIX, {3: (0, 0.06), 4: (0, 0.06)}), read_by=ReadBy.SCANS) == []

    def test_are_doubted_sheet_by_sheet(self):
        off = {3: (0, 0.18), 4: (0, 0.18)}
        assert kinds(by(USUAL), by(USUAL), by(USUAL, SIX, off), read_by=ReadBy.SCANS) == [DoubtKind.SCANS]


def test_a_slip_that_no_doubt_could_mend_is_refused_before():
    with pytest.raises(ReadingsRefused):
        doubted(by(USUAL, SIX, {1: (2, 0)}))
