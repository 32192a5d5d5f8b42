"""Answers and readings given as options, where nobody is asked."""

from fractions import Fraction
from pathlib import Path

import pytest

from tests.align.a_conversation import answer, correction, measure, show
from watcher.align.printouts import print_proof, print_test_sheets
from watcher.align.turn.turning import Face, FirstPrinted, Letter, WhoseBack
from watcher.errors import ExitCode, WrongUsage
from watcher.terms import Flip


class TestOptions:
    READINGS = tuple(f"{mark}:+0.8,+0.5" for mark in range(1, 7))

    def test_answer_everything_without_a_question(self, converse, shop):
        turn = answer(arrow=Letter.A, first=Letter.A, guide=Letter.D, stack_face=Face.DOWN, stack_first=Letter.A)
        code, turned = converse(do=turn)
        assert code is ExitCode.HELD, "lines are left to be written"
        code, measured = converse(do=measure(readings=self.READINGS))
        assert code is ExitCode.WELL
        assert not any(" > " in line for line in turned + measured)
        assert correction(shop).shift.x == Fraction("0.8")

    def test_can_say_how_many_sheets_the_averages_are_of(self, converse):
        _, said = converse(do=measure(readings=self.READINGS, sheets_measured=5))
        assert "6 marks on 5 sheets: shift, turn and scale." in said
        assert any("cannot be seen from averages" in line for line in said)

    def test_do_not_contradict_each_other(self, converse):
        with pytest.raises(WrongUsage, match="2 sheets, but --sheets-measured says 3"):
            converse(do=measure(readings=self.READINGS * 2, sheets_measured=3))

    def test_of_another_flip_take_no_readings_meanwhile(self, converse, shop):
        converse(do=answer(arrow=Letter.C))
        with pytest.raises(WrongUsage, match="Mend the settings first"):
            converse(do=measure(readings=self.READINGS))
        assert correction(shop) is None

    def test_take_readings_of_another_flip_when_the_person_has_looked(self, converse, shop):
        converse(do=answer(arrow=Letter.C))
        assert converse(do=measure(readings=self.READINGS, keep_doubtful=True))[0] is ExitCode.WELL
        assert correction(shop) is not None

    @pytest.mark.parametrize(
        ("more", "words"),
        [
            ({"do": measure(readings=READINGS, scans=(Path("a"), Path("b")))}, "either --reading or --scans"),
            ({"do": measure(sheets_measured=3)}, "goes with --reading"),
            ({"do": measure(keep_doubtful=True)}, "--keep-doubtful goes with --reading or --scans"),
            ({"do": measure(scans=(Path("a"), Path("b"), Path("c")))}, "an even number"),
            ({"do": answer(guide=Letter.A)}, "needs --arrow"),
            ({"do": answer(arrow=Letter.A, stack_first=Letter.A)}, "--stack-first needs --stack-face"),
            ({"do": answer(arrow=Letter.A, stack_face=Face.UP)}, "--stack-face needs --stack-first"),
            ({"do": answer(arrow=Letter.A, chosen=Flip.LONG_EDGE)}, "--chosen does not go with this printer"),
            (
                {"printer": "press", "sheet": "sra3", "do": answer(arrow=Letter.A, printed_first=FirstPrinted.ARROW)},
                "--printed-first needs --first",
            ),
            (
                {"printer": "press", "sheet": "sra3", "do": answer(arrow=Letter.A, first_sheet=WhoseBack.FIRST)},
                "--first-sheet does not go with this printer",
            ),
            ({"printer": "inkjet"}, 'no printer "inkjet"'),
            ({"sheet": "sra3", "do": show}, "printed on press, not on laser"),
            ({"sheet": None, "do": measure(readings=READINGS)}, "say which with --sheet"),
            ({"do": print_proof}, "no correction for laser on letter yet"),
        ],
    )
    def test_that_make_no_sense_are_refused_in_one_line(self, converse, more, words):
        with pytest.raises(WrongUsage, match=words) as refused:
            converse(**more)
        assert "\n" not in str(refused.value)

    def test_print_only_writes_the_sheets_and_asks_nothing(self, converse, shop):
        code, _ = converse(do=print_test_sheets)
        assert code is ExitCode.WELL
        assert len(list((shop / "align").iterdir())) == 4

    def test_proof_writes_the_target_with_the_correction(self, converse, shop):
        converse(do=measure(readings=self.READINGS))
        code, _ = converse(do=print_proof)
        assert code is ExitCode.WELL
        assert (shop / "align/laser_letter_proof_2-backs.pdf").exists()

    def test_a_name_with_a_space_makes_files_and_commands_that_can_be_typed(self, converse, shop):
        file = shop / "settings.toml"
        text = file.read_text().replace("[sheets.letter]", '[sheets."heavy stock"]')
        file.write_text(text.replace('sheet = "letter"', 'sheet = "heavy stock"'))
        converse(do=print_test_sheets, sheet="heavy stock")
        assert (shop / "align/laser_heavy-stock_turn-test_1-fronts.pdf").exists()
        _, said = converse(sheet="heavy stock")
        assert said[-1].endswith('print-folder align laser --sheet "heavy stock"')
