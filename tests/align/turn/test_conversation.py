"""The conversation about how a sheet is turned."""

from tests.align.a_conversation import GOOD_TURN, RIGHT
from watcher.errors import ExitCode
from watcher.settings.alignment import load_alignments
from watcher.settings.load import load_settings


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
