"""What is kept of a printer and a sheet: shown, and dropped."""

from datetime import timedelta

from tests.align.a_conversation import GOOD_TURN, NOON, correction, measure, show
from watcher.align.dialogue import Dialogue
from watcher.align.forget import forget_alignment
from watcher.align.show import show_alignments
from watcher.errors import ExitCode
from watcher.settings.alignment import load_alignments
from watcher.settings.load import load_settings


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
