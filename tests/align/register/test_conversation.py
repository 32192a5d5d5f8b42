"""The conversation about readings, and what is kept of them."""

from datetime import timedelta
from fractions import Fraction

from tests.align.a_conversation import NOON, correction, measure
from watcher.errors import ExitCode


class TestRegister:
    def test_sheets_are_averaged_and_their_scatter_is_said(self, converse, shop):
        _, said = converse("s", "2", *["0.7 0.5"] * 6, *["0.9 0.5"] * 6, "y")
        assert correction(shop).shift.x == Fraction("0.8")
        assert (
            "From sheet to sheet the backs wander: 0.14 mm (0.006 in) as a rule, 0.20 mm (0.008 in) at most, at mark "
            "6. No correction can mend that."
        ) in said

    def test_a_mark_that_does_not_fit_can_be_read_again(self, converse, shop):
        code, said = converse("s", "1", *["0.8 0.5"] * 5, "0.8 -1.5", "6: 0.8 0.5", "y")
        assert code is ExitCode.WELL
        assert any(line.startswith("Mark 6 does not fit the others") for line in said)
        assert correction(shop).shift.y == Fraction("0.5")

    def test_a_mark_of_another_sheet_can_be_read_again(self, converse, shop):
        converse("s", "2", *["0.8 0.5"] * 11, "0.8 -1.5", "nonsense", "2/6: 0.8 0.5", "y")
        assert correction(shop).shift.y == Fraction("0.5")

    def test_a_slip_of_the_keys_is_asked_again(self, converse, shop):
        _, said = converse("s", "many", "1", "0.8", *["0.8 0.5"] * 6, "y")
        assert "Please type a number from 1 to 50." in said
        assert any("is no reading" in line for line in said)
        assert correction(shop) is not None

    def test_marks_can_be_left_out_and_it_is_said_what_is_missing(self, converse):
        _, said = converse("s", "", "0.8 0.5", *[""] * 5, "", "y")
        assert any("only shift can be told" in line for line in said)
        assert any("One sheet does not show how sheets differ" in line for line in said)

    def test_a_doubtful_mark_is_named_before_it_is_kept(self, converse, shop):
        code, said = converse("s", "1", *["0.8 0.5"] * 5, "1.3 0.5", "", "")
        assert code is ExitCode.HELD
        assert any(
            line.startswith("Look at mark 6 again: it reads +1.3, +0.5 mm, by all the others it should be +0.8")
            for line in said
        )
        assert correction(shop) is None

    def test_a_second_measurement_replaces_the_first_and_says_the_drift(self, converse, shop):
        """The target is always printed without a correction: the new readings stand for themselves."""
        converse(do=measure(readings=tuple(f"{mark}:0.8,0.5" for mark in range(1, 7))))
        _, said = converse(
            do=measure(readings=tuple(f"{mark}:1.1,0.1" for mark in range(1, 7))), now=NOON + timedelta(days=30)
        )
        assert (correction(shop).shift.x, correction(shop).shift.y) == (Fraction("1.1"), Fraction("0.1"))
        assert "Since 2026-05-01 the backs have moved by up to 0.50 mm (0.020 in) (at a corner of the sheet)." in said

    def test_what_was_measured_with_another_flip_tells_no_drift(self, converse, shop):
        readings = tuple(f"{mark}:0.8,0.5" for mark in range(1, 7))
        converse(do=measure(readings=readings))
        file = shop / "settings.toml"
        file.write_text(file.read_text().replace('flip = "long-edge"\nduplex', 'flip = "short-edge"\nduplex'))
        _, said = converse(do=measure(readings=readings))
        assert not any(line.startswith("Since") for line in said)

    def test_what_a_person_wrote_in_settings_is_named_as_the_winner(self, converse, write):
        write("[printers.laser.align.letter]\nturn = 0.1\n")()
        _, said = converse("s", "1", *["0.8 0.5"] * 6, "y")
        assert any("[printers.laser.align.letter] in settings.toml wins over it" in line for line in said)
