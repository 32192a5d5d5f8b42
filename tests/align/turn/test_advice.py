"""What the turn test means for settings.toml: the very lines, and that these settings then agree."""

import tomllib

import pytest

from watcher.align.turn.advice import advise, as_lines
from watcher.align.turn.turning import Face, FirstPrinted, Letter, TurnAnswers, find_turning
from watcher.layout.geometry import Size
from watcher.settings.printer import PrinterSettings
from watcher.terms import Duplex, Flip

LETTER = Size(216, 279)
BY_HAND = {"lead": Letter.A, "guide": Letter.D, "stack_face": Face.DOWN, "own_back": False}


def printer(**written):
    return PrinterSettings(name="laser", **({"flip": "long-edge", "duplex": "manual"} | written))


def advice(written, **seen):
    of = printer(**written)
    return advise(find_turning(TurnAnswers(**seen), LETTER, of.duplex), of)


def after(written, write):
    """The printer once the lines have been written, through a TOML reader."""
    lines = as_lines("laser", write, {})
    return printer(**(written | tomllib.loads("\n".join(lines))["printers"]["laser"]))


class TestByHand:
    def test_what_agrees_is_said_and_nothing_is_to_be_written(self):
        written = {"lead": "top", "guide": "left", "reload": "Printed side down,  top edge first"}
        written["backs_order"] = "n-to-1"
        found = advice(written, arrow=Letter.A, stack_lead=Letter.A, **BY_HAND)
        assert found.write == {}
        assert found.agrees == ("flip", "feed", "lead", "guide", "reload", "backs_order")
        assert found.notes == ()

    def test_what_is_not_known_yet_is_to_be_written(self):
        found = advice({}, arrow=Letter.A, stack_lead=Letter.A, **BY_HAND)
        assert found.write == {
            "lead": "top",
            "guide": "left",
            "reload": "printed side down, top edge first",
            "backs_order": "n-to-1",
        }

    def test_a_stack_that_went_in_the_other_way_round_keeps_the_flip_and_turns_the_stack(self):
        found = advice({}, arrow=Letter.C, stack_lead=Letter.C, **BY_HAND)
        assert found.write["reload"] == "printed side down, top edge first"
        assert "flip" in found.agrees
        assert found.instead == {"flip": "short-edge", "reload": "printed side down, bottom edge first"}
        assert any("once more" in note for note in found.notes)

    def test_a_stack_that_went_in_the_wrong_way_up_is_turned_over(self):
        found = advice({}, arrow=Letter.A, one_face=True, stack_lead=Letter.A, **BY_HAND)
        assert found.write["reload"] == "printed side up, top edge first"
        assert found.write["backs_order"] == "1-to-n", "turned over, the stack comes the other way round"
        assert found.instead == {}

    def test_an_order_that_nobody_has_seen_stays_open(self):
        found = advice({}, arrow=Letter.A, stack_lead=Letter.A, **{**BY_HAND, "own_back": None})
        assert "backs_order" not in found.write
        assert "stays open" in found.notes[0]

    def test_answers_about_the_stack_alone_are_enough(self):
        """No pencil was used: how the stack went in and what became of it tell the rest."""
        found = advice({}, arrow=Letter.A, stack_face=Face.DOWN, stack_lead=Letter.C)
        assert found.write == {"lead": "bottom", "reload": "printed side down, bottom edge first"}

    def test_without_a_flip_the_one_of_the_test_is_to_be_written(self):
        found = advice({"flip": None}, arrow=Letter.C, stack_lead=Letter.C, **BY_HAND)
        assert (found.write["flip"], found.write["reload"]) == ("short-edge", "printed side down, bottom edge first")
        assert found.notes == ()

    def test_without_a_note_of_the_stack_the_flip_follows_the_sheet(self):
        found = advice({}, arrow=Letter.C)
        assert found.write == {"flip": "short-edge"}
        assert found.now == {"flip": "long-edge"}
        assert "other end first" in found.notes[0]

    @pytest.mark.parametrize("written", [{}, {"flip": None}, {"lead": "bottom", "guide": "right", "feed": "long-edge"}])
    @pytest.mark.parametrize(("arrow", "stack_lead"), [("A", "A"), ("C", "C")])
    def test_the_lines_are_toml_and_once_written_all_agrees(self, written, arrow, stack_lead):
        seen = {"arrow": Letter(arrow), "stack_lead": Letter(stack_lead), **BY_HAND}
        mended = after(written, advice(written, **seen).write)
        assert advise(find_turning(TurnAnswers(**seen), LETTER, Duplex.MANUAL), mended).write == {}


class TestAutomatic:
    AUTOMATIC = {"duplex": "automatic"}

    def test_another_edge_than_the_dialog_says_is_written_beside_the_dialogs_word(self):
        """The driver swaps the two: what was chosen stays the word to choose."""
        found = advice(self.AUTOMATIC, arrow=Letter.C)
        assert found.write == {"flip": "short-edge", "dialog_flip": "long-edge"}
        assert "choose the long edge in the print dialog" in found.notes[0]
        other = 'Or keep flip = "long-edge": write dialog_flip = "short-edge" and choose the short edge, '
        assert found.notes[2] == f"{other}and print the turn test again."

    def test_another_edge_that_was_chosen_needs_no_word_of_its_own(self):
        found = advice(self.AUTOMATIC, arrow=Letter.C, chosen=Flip.SHORT_EDGE)
        assert found.write == {"flip": "short-edge"}
        assert 'Or keep flip = "long-edge": choose the long edge in the print dialog' in found.notes[1]

    @pytest.mark.parametrize("flip", [None, "long-edge", "short-edge"])
    @pytest.mark.parametrize("dialog", [None, "long-edge", "short-edge"])
    @pytest.mark.parametrize("arrow", ["A", "C"])
    @pytest.mark.parametrize("chosen", [None, *Flip])
    def test_the_same_test_agrees_once_the_lines_are_written(self, flip, dialog, arrow, chosen):
        written = {**self.AUTOMATIC, "flip": flip, "dialog_flip": dialog}
        seen = {"arrow": Letter(arrow), "chosen": chosen}
        told = printer(**written).chosen_flip
        mended = after(written, write) if (write := advice(written, **seen).write) else printer(**written)
        assert advise(find_turning(TurnAnswers(**seen), LETTER, Duplex.AUTOMATIC), mended).write == {}
        if chosen or told:
            assert mended.chosen_flip is (chosen or told), "the word that was chosen is the word to choose"

    def test_a_driver_that_was_changed_needs_its_word_no_longer(self):
        found = advice({**self.AUTOMATIC, "dialog_flip": "short-edge"}, arrow=Letter.C)
        assert found.write == {"flip": "short-edge"}

    def test_lead_is_told_where_the_first_side_was_seen(self):
        found = advice(self.AUTOMATIC, arrow=Letter.A, lead=Letter.A, guide=Letter.D, first_printed=FirstPrinted.ARROW)
        assert found.write == {"lead": "bottom", "guide": "left"}

    def test_an_open_lead_is_said_to_be_no_harm(self):
        found = advice(self.AUTOMATIC, arrow=Letter.A, lead=Letter.A, guide=Letter.D)
        assert "lead" not in found.write
        assert "no harm" in found.notes[0]

    def test_another_feed_is_found(self):
        found = advice(self.AUTOMATIC, arrow=Letter.A, lead=Letter.B, guide=Letter.A)
        assert found.write["feed"] == "long-edge"


def test_lines_say_what_stands_there_now():
    lines = as_lines("laser", {"lead": "top", "flip": "short-edge"}, {"flip": "long-edge"})
    assert lines[0] == "[printers.laser]"
    assert lines[1].split("#") == [lines[1].split("#")[0], ' now "long-edge"']
    assert lines[1].startswith('flip = "short-edge"')
    assert lines[2] == 'lead = "top"'
