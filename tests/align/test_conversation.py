"""The conversation as two people have it: what is said, what is answered, what is kept."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest

from watcher.align.conversation import converse as converse_about
from watcher.align.conversation import run_dialogue
from watcher.align.dialogue import Dialogue
from watcher.align.forget import forget_alignment
from watcher.align.printouts import print_proof, print_test_sheets
from watcher.align.register.conversation import ask_register
from watcher.align.register.measure import measure_register
from watcher.align.register.options import RegisterOptions
from watcher.align.session import Session, open_session
from watcher.align.show import show_alignments
from watcher.align.turn.conversation import ask_turning, take_turn_answers
from watcher.align.turn.options import TurnOptions
from watcher.align.turn.turning import Face, FirstPrinted, Letter, WhoseBack
from watcher.errors import ExitCode, WrongUsage
from watcher.settings.alignment import correction_for, load_alignments
from watcher.settings.load import load_settings
from watcher.terms import Flip

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
RIGHT = 'lead = "top"\nguide = "left"\nreload = "printed side down, top edge first"\nbacks_order = "n-to-1"\n'
GOOD_TURN = ["", "A", "A", "D", "down", "A", "second"]
Converse = Callable[..., tuple[ExitCode, list[str]]]
Do = Callable[[Session], ExitCode | None]


class Person:
    """TurnAnswers in order; an answer may be something to do before it. Leaves when there is no answer left."""

    def __init__(self, answers: list[object]) -> None:
        self.answers: Iterator[object] = iter(answers)
        self.heard: list[str] = []

    def listen(self, question: str) -> str:
        self.heard.append(question)
        try:
            answer = next(self.answers)
        except StopIteration:
            raise EOFError from None
        return str(answer() if callable(answer) else answer)


def answer(**options: object) -> Do:
    """Give the answers of the turn test as options."""
    return lambda session: take_turn_answers(session, TurnOptions(**options))


def measure(**options: object) -> Do:
    """Give readings or scans as options."""
    return lambda session: measure_register(session, RegisterOptions(**options))


def show(session: Session) -> None:
    show_alignments(session.settings, session.printer.name, session.sheet.name, session.dialogue, session.now)


@pytest.fixture
def converse(shop: Path) -> Converse:
    """Have a conversation about the laser printer and its letter sheet, or do one thing with them.

    Gives the exit code and all that was said.
    """

    def meet(
        *answers: object,
        do: Do | None = None,
        printer: str = "laser",
        sheet: str | None = "letter",
        now: datetime = NOON,
    ) -> tuple[ExitCode, list[str]]:
        person = Person(list(answers))
        settings = load_settings(shop / "settings.toml")
        dialogue = Dialogue(say=person.heard.append, listen=person.listen)
        if do is None:
            code = converse_about(settings, printer, sheet, dialogue, now)
        else:
            code = do(open_session(settings, printer, sheet, dialogue, now)) or ExitCode.WELL
        assert list(person.answers) == [], "everything was asked for"
        return code, person.heard

    return meet


@pytest.fixture
def write(shop: Path) -> Callable[..., Callable[[], str]]:
    """Write into the printer's table when it is asked for, and press Enter."""

    def later(lines: str = RIGHT, old: str = "", new: str = "") -> Callable[[], str]:
        def act() -> str:
            file = shop / "settings.toml"
            file.write_text(
                file.read_text().replace(old, new).replace('duplex = "manual"\n', f'duplex = "manual"\n{lines}')
            )
            return ""

        return act

    return later


def correction(shop: Path):
    return correction_for(load_settings(shop / "settings.toml"), "laser", "letter")


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


class TestTurning:
    def test_tells_the_lines_to_write_and_waits_until_they_are_there(self, converse, write):
        _, said = converse(*GOOD_TURN, "", write(), "s")
        assert "  [printers.laser]" in said
        for line in RIGHT.splitlines():
            assert f"  {line}" in said
        assert "Not yet: lead, guide, reload, backs_order in settings.toml still differ from the test." in said

    def test_waits_too_while_the_settings_have_a_fault(self, converse, write):
        _, said = converse(*GOOD_TURN, write("lead = top\n"), write(RIGHT, "lead = top\n", ""), "s")
        assert any("text must stand in quotes" in line for line in said)
        assert any(line.startswith("NOW the register") for line in said)
        assert any("With a flatbed scanner" in line and "register --scans FRONT BACK" in line for line in said)

    def test_measures_with_the_flip_that_was_written(self, converse, shop):
        """The target is drawn for the new one."""

        def to_short_edge() -> str:
            file = shop / "settings.toml"
            table = '[printers.press]\nflip = "'
            file.write_text(file.read_text().replace(f'{table}long-edge"', f'{table}short-edge"'))
            return ""

        turned = ["", "C", "", "", "short", to_short_edge]
        converse(*turned, "1", *["0.3 0.1"] * 6, "y", printer="press", sheet="sra3")
        kept = load_alignments(load_settings(shop / "settings.toml")).current("press", "sra3")
        assert kept.flip == "short-edge"

    def test_asks_again_when_the_answers_do_not_go_together(self, converse):
        _, said = converse("", "C", "A", "D", "down", "A", "second", "y", *GOOD_TURN[1:], "s", "s")
        assert any("do not go together" in line for line in said)
        assert "There is nothing to change." not in said

    def test_of_one_face_asks_where_the_arrow_points(self, converse):
        _, said = converse("", "S", "A", "A", "D", "down", "A", "second", "s", "s")
        assert '  reload = "printed side up, top edge first"' in said

    def test_with_one_sheet_alone_leaves_the_order_open(self, converse):
        _, said = converse(*GOOD_TURN[:-1], "", "s", "s")
        assert '  reload = "printed side down, top edge first"' in said
        assert not any("backs_order" in line for line in said)
        assert any("stays open" in line for line in said)

    def test_without_a_pencil_what_was_told_of_the_stack_is_written(self, converse):
        _, said = converse("", "A", "", "", "down", "A", "first", "s", "s")
        for line in ('  reload = "printed side down, top edge first"', '  backs_order = "1-to-n"', '  lead = "top"'):
            assert line in said

    def test_of_yesterday_knew_no_order_and_is_asked_again(self, converse, write, shop):
        """Its alignment.toml has no order, and its settings agree with it."""
        converse(*GOOD_TURN, write(), "s")
        for file in (shop / "alignment.toml", shop / "settings.toml"):
            file.write_text(file.read_text().replace('backs_order = "n-to-1"\n', ""))
        _, said = converse("s", "s")
        assert any("in which order a stack comes" in line for line in said)

    def test_of_a_driver_that_swaps_the_edges_ends(self, converse, shop):
        """Printed as asked, with the long edge chosen, the sheet turns on the short one: both are written, once."""

        def both() -> str:
            file = shop / "settings.toml"
            lines = '[printers.press]\nflip = "short-edge"\ndialog_flip = "long-edge"\n'
            file.write_text(file.read_text().replace('[printers.press]\nflip = "long-edge"\n', lines))
            return ""

        _, said = converse("", "C", "", "", "", both, "s", printer="press", sheet="sra3")
        assert '  dialog_flip = "long-edge"' in said
        code, said = converse("y", "", "C", "", "", "s", printer="press", sheet="sra3")
        assert code is ExitCode.WELL
        assert any("flip on long edge" in line for line in said if line.startswith("Put it in and print"))
        assert "There is nothing to change." in said

    def test_is_not_asked_again_without_need(self, converse, write):
        converse(*GOOD_TURN, write(), "s")
        code, said = converse("n", "s")
        assert code is ExitCode.WELL
        assert "settings.toml agrees. Do it again?" in said[1]

    def test_never_writes_into_settings(self, converse, shop):
        before = (shop / "settings.toml").read_bytes()
        converse(*GOOD_TURN, "s", "s")
        assert (shop / "settings.toml").read_bytes() == before


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


class TestShowAndForget:
    def test_show_tells_what_is_kept_and_the_drift_since_the_last(self, converse):
        converse(do=measure(readings=tuple(f"{mark}:0.8,0.5" for mark in range(1, 7))))
        converse(
            do=measure(readings=tuple(f"{sheet}/{mark}:0.{7 + sheet},0.5" for sheet in (1, 2) for mark in range(1, 7))),
            now=NOON + timedelta(days=30),
        )
        code, said = converse(do=show, now=NOON + timedelta(days=33))
        text = "\n".join(said)
        assert code is ExitCode.WELL
        assert "Kept since 2026-05-31 (3 days ago): every back is moved 0.85 mm (0.033 in) right" in text
        assert "From 6 marks on 2 sheets, read by light or pin: shift, turn and scale." in text
        assert "It leaves at most 0.00 mm" in text
        assert "From sheet to sheet the backs wander: 0.07 mm" in text
        assert "Since 2026-05-01 the backs have moved by up to 0.05 mm" in text
        assert "No turn test has been done yet." in text

    def test_show_of_all_sheets_of_a_printer(self, shop):
        said: list[str] = []
        dialogue = Dialogue(say=said.append, listen=input)
        show_alignments(load_settings(shop / "settings.toml"), "laser", None, dialogue, NOON)
        assert [line for line in said if line.startswith("Printer laser, sheet a4")]
        assert said.count("No correction has been measured yet.") == 4

    def test_show_tells_when_the_settings_no_longer_agree_with_the_turn_test(self, converse, write):
        converse(*GOOD_TURN, "s", "s")
        _, said = converse(do=show)
        assert "settings.toml differs from it; do it again." in said[-1]
        write()()
        _, said = converse(do=show)
        assert "settings.toml agrees." in said[-1]

    def test_forget_drops_it_and_keeps_the_history(self, converse, shop):
        converse(do=measure(readings=("1:0.8,0.5",), keep_doubtful=True))
        code, said = converse(do=forget_alignment)
        assert code is ExitCode.WELL
        assert "without a correction from now on" in said[-1]
        assert correction(shop) is None
        assert len(load_alignments(load_settings(shop / "settings.toml")).history("laser", "letter")) == 2
        assert "was dropped on 2026-05-01" in "\n".join(converse(do=show)[1])

    def test_forget_of_nothing_says_so(self, converse):
        assert converse(do=forget_alignment)[1] == ["Nothing is kept for laser on letter."]


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
