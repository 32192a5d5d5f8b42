"""The whole conversation, and its parts by themselves: what is said, what is answered, what is kept."""

from fractions import Fraction

from tests.align.a_conversation import GOOD_TURN, correction
from watcher.align.conversation import run_dialogue
from watcher.align.register.conversation import ask_register
from watcher.align.turn.conversation import ask_turning
from watcher.errors import ExitCode


class TestWhole:
    def test_ends_with_a_printer_whose_turning_is_known_and_whose_backs_land_right(self, converse, write, shop):
        code, said = converse(*GOOD_TURN, write(), "1", *["0.8 0.5"] * 6, "y")
        assert code is ExitCode.WELL
        assert (correction(shop).shift.x, correction(shop).shift.y) == (Fraction("0.8"), Fraction("0.5"))
        assert "From now on every back is moved 0.80 mm (0.031 in) right and 0.50 mm (0.020 in) up." in said
        assert "The backs land 0.80 mm (0.031 in) too far left and 0.50 mm (0.020 in) too low." in said

    def test_puts_every_sheet_to_print_beside_the_settings(self, converse, write, shop):
        converse(*GOOD_TURN, write(), "1", *["0.8 0.5"] * 6, "y")
        assert sorted(file.name for file in (shop / "align").iterdir()) == [
            "laser_letter_proof_1-fronts.pdf",
            "laser_letter_proof_2-backs.pdf",
            "laser_letter_register-target_1-fronts.pdf",
            "laser_letter_register-target_2-backs.pdf",
            "laser_letter_turn-test_1-fronts.pdf",
            "laser_letter_turn-test_2-backs.pdf",
        ]

    def test_can_be_left_at_any_question_and_nothing_is_kept(self, converse, write, shop):
        answers = [*GOOD_TURN, write(), "1", *["0.8 0.5"] * 6]
        before = (shop / "settings.toml").read_text()
        for asked in (0, 3, 6, 7, 8, 11, 15):
            (shop / "settings.toml").write_text(before)
            (shop / "alignment.toml").unlink(missing_ok=True)
            code, said = converse(*answers[:asked])
            assert code is ExitCode.HELD
            assert "print-folder align laser --sheet letter" in said[-1]
            assert correction(shop) is None

    def test_asks_which_sheet_where_there_are_several(self, converse):
        _, said = converse("a4", "s", "s", sheet=None)
        assert said[0].startswith("Which sheet? [letter, a4,")
        assert "sheet a4: 210 x 297 mm (8.27 x 11.69 in)" in said[1]

    def test_of_a_press_has_no_stack_to_ask_about(self, converse):
        code, said = converse("", "A", "A", "D", "l", "s", "s", printer="press", sheet="sra3")
        assert code is ExitCode.WELL
        assert not any("letters face up or down" in line for line in said)
        assert '  lead = "top"' in said


class TestParts:
    """`turn` and `register` without options ask for their own part alone."""

    def test_turn_asks_no_readings(self, converse, shop):
        code, said = converse(*GOOD_TURN, "s", do=lambda session: run_dialogue(session, ask_turning, "turn"))
        assert code is ExitCode.WELL
        assert not any(line.startswith("NOW the register") for line in said)

    def test_register_asks_no_turn_test(self, converse, shop):
        do = lambda session: run_dialogue(session, ask_register, "register")  # noqa: E731
        code, _ = converse("1", *["0.8 0.5"] * 6, "y", do=do)
        assert (code, correction(shop).shift.x) == (ExitCode.WELL, Fraction("0.8"))

    def test_left_early_says_the_command_to_go_on_with(self, converse):
        code, said = converse(do=lambda session: run_dialogue(session, ask_turning, "turn"))
        assert code is ExitCode.HELD
        assert said[-1].endswith("print-folder align laser --sheet letter turn")
