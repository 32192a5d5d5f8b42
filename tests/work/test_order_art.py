"""What an order is held for, and what a yes is worth: it holds for the findings that were read, with their numbers."""

from types import SimpleNamespace
from typing import cast

import pytest

from watcher.orders.held_note import mark_of
from watcher.terms import Finding, Level
from watcher.work.job import Job
from watcher.work.order_art import HeldByFindings, hold_back

OWN = Finding(level=Level.HOLD, code="correction-eats-bleed", message="1.2 mm of the 3 mm of bleed is left.")
IN_RUN = Finding(level=Level.HOLD, code="correction-eats-bleed", message="0.1 mm of the 3 mm of bleed is left.")
LOCKED = Finding(level=Level.REFUSE, code="art-unreadable", message="a.pdf is locked.")


def job(*seen: Finding, accepted: bool = False, approve: bool = False) -> Job:
    marks = tuple(mark_of(finding.message) for finding in seen)
    return cast(Job, SimpleNamespace(order=SimpleNamespace(accepted=accepted, seen=marks), asks_first=approve))


def test_what_was_read_is_accepted() -> None:
    hold_back((OWN,), job(OWN, accepted=True))


def test_a_layout_that_takes_more_bleed_than_was_read_is_asked_about() -> None:
    """As in a run, whose cards may lie elsewhere than those of the order by itself."""
    with pytest.raises(HeldByFindings) as held:
        hold_back((OWN, IN_RUN), job(OWN, accepted=True))
    assert held.value.findings == (OWN, IN_RUN)  # all of it stands in why.txt, what was accepted before too


def test_after_the_customers_yes_something_new_is_asked_about() -> None:
    hold_back((OWN,), job(approve=True))  # told later, with the picture of the card
    with pytest.raises(HeldByFindings):
        hold_back((IN_RUN,), job(OWN, accepted=True, approve=True))


def test_a_yes_of_an_earlier_version_has_no_marks_and_holds_for_all() -> None:
    hold_back((OWN, IN_RUN), job(accepted=True))


def test_nobody_can_accept_what_is_refused() -> None:
    with pytest.raises(HeldByFindings):
        hold_back((LOCKED,), job(LOCKED, accepted=True))
