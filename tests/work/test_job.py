"""What a worker is told, and what it says of an order that it does not make."""

from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from tests.orders.an_order import an_order
from watcher.archive.effective_settings import EffectiveSettings
from watcher.terms import Finding, HeldFor, Level
from watcher.work.job import HeldForFault, HeldForLooks, HeldForYes, job_for

BLURRED = Finding(level=Level.HOLD, code="low-resolution", message="It is blurred.")
TURNED = Finding(level=Level.NOTE, code="turned", message="Besides: it is turned.")


def settings(*, approve: bool = False) -> EffectiveSettings:
    return cast(EffectiveSettings, SimpleNamespace(card=SimpleNamespace(approve=approve)))


def test_the_sheets_show_the_orders_name_and_the_day_of_the_stamp() -> None:
    job = job_for(an_order("lantern"), settings(), Path("taking"), "2026-03-01T09:05:07+00:00")
    assert (job.name, job.shown, job.date, job.folder) == ("lantern", "lantern", "2026-03-01", Path("taking"))


@pytest.mark.parametrize(
    ("card", "order", "accepted", "asks"),
    [(True, None, False, True), (True, None, True, False), (True, False, False, False), (False, True, False, True)],
)
def test_the_customer_is_asked_once_by_the_word_of_the_order_or_else_its_card(
    card: bool, order: bool | None, accepted: bool, asks: bool
) -> None:
    asked = an_order("lantern", approve=order, accepted=accepted)
    assert job_for(asked, settings(approve=card), Path(), "2026-03-01").asks_first is asks


def test_what_waits_for_a_yes_says_what_must_be_seen_first_then_the_question_then_the_rest() -> None:
    held = HeldForYes((BLURRED,), "a_card.png", besides=(TURNED,))
    assert [finding.code for finding in held.findings] == ["low-resolution", "waits-for-yes", "turned"]
    assert (held.needs, held.pictures) == (HeldFor.ART, ("a_card.png",))
    assert HeldForYes((), "a_card.png").needs is HeldFor.YES


@pytest.mark.parametrize(("shown", "words"), [(12, "shows them as they"), (9, "shows 9 of them as they")])
def test_of_many_designs_it_says_how_many_the_picture_shows(shown: int, words: str) -> None:
    said = str(HeldForYes((), "a_card.png", designs=12, shown=shown))
    assert "these 12 cards" in said
    assert words in said


def test_a_person_may_overrule_what_looks_wrong_but_no_fault() -> None:
    looks = HeldForLooks("place 3", ("place.png", "sheet.pdf"), odd="Readers differ about it.")
    assert "(place 3). Readers differ about it. place.png shows the place" in str(looks)
    fault = HeldForFault("page 2 is missing", ("sheet.pdf", "page.png"))
    assert "(page 2 is missing)" in str(fault)
    assert "sheet.pdf, page.png" in str(fault)
    assert (looks.is_soft, getattr(fault, "is_soft", False)) == (True, False)
