"""Asking a person: only the answers that were offered are taken."""

import pytest

from watcher.align.dialogue import YES_NO, Dialogue, DialogueEnded


def person(*answers):
    """A dialogue with somebody who gives these answers, then leaves; and what was shown."""
    left, shown = list(answers), []

    def listen(question):
        shown.append(question)
        if not left:
            raise EOFError
        return left.pop(0)

    return Dialogue(say=shown.append, listen=listen), shown


def test_an_answer_comes_without_spaces():
    dialogue, shown = person("  two \t")
    assert dialogue.ask("How many?") == "two"
    assert shown == ["How many? > "]


def test_a_choice_is_asked_for_until_it_is_one():
    dialogue, shown = person("perhaps", "YES")
    assert dialogue.choose("Go on? [y/n]", YES_NO) is True
    assert shown[1] == "Please answer y, yes, n or no."


def test_enter_alone_is_a_choice_where_it_is_offered():
    assert person("")[0].choose("Keep it? [Y/n]", {"": True, "n": False}) is True


def test_nobody_there_ends_the_dialogue():
    with pytest.raises(DialogueEnded):
        person()[0].choose("Go on?", YES_NO)
