"""Orders that cannot be made go to held, with why, and the journal says so."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from watcher.outbox.product import building_folder
from watcher.records.order_life import Event, State
from watcher.service.life.cases import OrderCase
from watcher.service.life.holding import complete_hold, hold_order, may_be_accepted
from watcher.service.life.making import Making
from watcher.terms import Finding, Level
from watcher.work.answer import Answer
from watcher.work.job import Job

BLURRED = Finding(level=Level.HOLD, code="low-resolution", message="It is blurred.")


def held(making: Making, case: OrderCase, answer: Answer | None = None) -> OrderCase:
    ((held_case, event),) = hold_order(making, replace(case, answer=answer, then=State.HELD))
    assert event is Event.RECORDED
    assert isinstance(held_case, OrderCase)
    return held_case


def why(making: Making) -> str:
    return " ".join((making.shop.held / "lantern/why.txt").read_text().split())


def test_it_is_held_for_what_a_worker_says_and_counted(making: Making, taken: OrderCase):
    assert held(making, taken, Answer(reasons=(BLURRED,))).line == "lantern: held: It is blurred."
    assert "It is blurred." in why(making)
    assert (making.held, making.journal.state_of(taken.number)) == (1, State.HELD)


def test_a_marked_fault_goes_before_all_else(making: Making, taken: OrderCase):
    held(making, replace(taken, claimed=replace(taken.order, fault="It broke.")))
    assert "It broke." in why(making)


def test_art_that_kills_workers_is_named_with_how_it_did(making: Making, taken: OrderCase):
    held(making, taken, Answer(died="it needed too much memory"))
    assert "lantern_back.png cannot be opened safely (it needed too much memory). Export it again." in why(making)


@pytest.mark.parametrize("soft", [True, False])
def test_whether_a_person_may_accept_it_is_the_workers_word(making: Making, taken: OrderCase, soft: bool):
    assert may_be_accepted(making, replace(taken, answer=Answer(reasons=(BLURRED,), soft=soft))) is soft


def test_a_crash_after_the_move_has_it_logged_and_recorded_once(making: Making, taken: OrderCase):
    held(making, taken, Answer(reasons=(BLURRED,)))
    case = replace(taken, entry=None, then=State.HELD)
    for _ in range(2):
        complete_hold(making, case)
    entry = making.shop.journal.find(taken.number)
    assert entry is not None
    assert (entry.state, entry.folder) == (State.HELD, "lantern")
    log = Path(making.shop.outbox / "log.txt").read_text()
    assert log.count("lantern: held: It is blurred.") == 1


def test_a_worker_has_nothing_held_that_lies_outside_its_building_folder(making: Making, taken: OrderCase, tmp_path):
    """A file that took the worker over would have any file of the person's laid into a folder that is synced."""
    secret = tmp_path / "secret.txt"
    secret.write_text("secret")
    building = building_folder(making.shop.archive, taken.number)
    building.mkdir()
    (building / "why.png").write_bytes(b"PNG")
    (building / "link.png").symlink_to(secret)
    steps = "../" * len(building.parts)
    names = ("why.png", "link.png", "gone.png", str(secret), f"{steps}{secret.relative_to('/')}", "..", "")
    case = replace(taken, job=cast(Job, SimpleNamespace(building=building)))
    held(making, case, Answer(reasons=(BLURRED,), pictures=names))
    assert (making.shop.held / "lantern/why.png").read_bytes() == b"PNG"
    assert "secret" not in [path.read_text("latin-1") for path in (making.shop.held / "lantern").iterdir()]
