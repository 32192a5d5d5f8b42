"""Answers of the turn test as options: whole, or refused with what is missing."""

import pytest

from watcher.align.turn.options import TurnOptions
from watcher.align.turn.turning import Face, FirstPrinted, Letter, WhoseBack
from watcher.errors import WrongUsage
from watcher.terms import Duplex, Flip


def test_no_option_is_no_answer():
    assert not TurnOptions().are_given
    assert TurnOptions(one_face=True).are_given
    assert TurnOptions(chosen=Flip.LONG_EDGE).are_given


def test_the_answers_of_a_stack():
    given = TurnOptions(
        arrow=Letter.A, stack_face=Face.DOWN, stack_first=Letter.C, first_sheet=WhoseBack.SECOND, guide=Letter.D
    )
    answers = given.answers(Duplex.MANUAL)
    assert (answers.stack_lead, answers.guide, answers.own_back) == (Letter.C, Letter.D, False)


def test_an_order_that_was_not_told_stays_open():
    assert TurnOptions(arrow=Letter.A).answers(Duplex.MANUAL).own_back is None


@pytest.mark.parametrize(
    ("options", "duplex", "said"),
    [
        ({"guide": Letter.A}, Duplex.MANUAL, "needs --arrow"),
        ({"arrow": Letter.A, "stack_face": Face.UP}, Duplex.AUTOMATIC, "--stack-face does not go with this printer"),
        ({"arrow": Letter.A, "chosen": Flip.LONG_EDGE}, Duplex.MANUAL, "--chosen does not go with this printer"),
        ({"arrow": Letter.A, "stack_first": Letter.A}, Duplex.MANUAL, "--stack-first needs --stack-face"),
        ({"arrow": Letter.A, "printed_first": FirstPrinted.ARROW}, Duplex.AUTOMATIC, "--printed-first needs --first"),
    ],
)
def test_an_answer_that_tells_nothing_is_refused(options, duplex, said):
    with pytest.raises(WrongUsage, match=said):
        TurnOptions(**options).answers(duplex)
