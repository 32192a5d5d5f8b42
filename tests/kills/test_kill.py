"""Killed at any step and started again, the service makes each order exactly once and loses nothing.

The service runs in a forked child that kills itself with SIGKILL at a named step (`watcher/steps.py`); which steps an
order passes stands in the table of its life (`watcher/records/order_life.py`). Then the service is started again, in a
child too, and the whole print folder is looked at. The short form kills at every step once, and in
each story where it differs from the others. The long form (PRINT_FOLDER_LONG=1) kills at every step in every story that
reaches it; at random instants a real `print-folder run` is killed in test_kill_at_random.py.

Reference for delivery by writing aside, flushing and renaming: Maildir does the same (maildir(5)).
"""

import os
from collections.abc import Callable

import pytest

from tests.kills.killed import kill_and_start_again
from tests.kills.stories import (
    ABlurredPair,
    AFolder,
    AMendedOrder,
    AnAcceptedOrder,
    AnEmptyFolderThatAsksForARepeat,
    APair,
    ARepeat,
    ARepeatOfAnOrderThatIsGone,
    ARun,
    AZipOfTwoOrdersAndAHalf,
    Story,
    TheSameArtAgain,
)
from tests.long_form import LONG
from watcher.records.order_life import LIFE
from watcher.steps import Step

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")

Tell = Callable[[type[Story]], Story]

STORIES = (APair, AZipOfTwoOrdersAndAHalf, ABlurredPair, TheSameArtAgain, AnAcceptedOrder, AMendedOrder, ARepeat)
STORIES = (*STORIES, AFolder, AnEmptyFolderThatAsksForARepeat)
SHORT = {  # steps at which a story differs from those before it; the short form tries these
    APair: set(Step),
    AZipOfTwoOrdersAndAHalf: {"file-moved", "split", "archived", "held", "done", "logged"},
    ABlurredPair: {"begun", "why-written", "held-noted", "held", "held-kept", "logged"},
    TheSameArtAgain: {"queued", "same", "logged", "dropped"},
    AnAcceptedOrder: {"folder-made", "file-moved", "archived"},
    AMendedOrder: {"file-moved", "claimed", "archived"},
    ARepeat: {"claimed", "linked", "begun", "archived", "done"},
    AFolder: {"noted", "file-moved", "claimed", "queued", "archived"},
    AnEmptyFolderThatAsksForARepeat: {"asked-again", "noted", "file-moved", "claimed", "linked"},
}
RUN_STEPS = ["sharing:3", "run-begun", "run-made", "ticket-kept", "archived", "unlisted", "published", "done"]
RUN_STEPS += ["done:3", "logged:3", "logged:4", "called", "told", "forgotten:2"]
if LONG:
    RUN_STEPS += ["sharing", "delivering", "ticket-kept:3", "archived:3", "forgotten", "forgotten:3", "logged"]


def passed(story: type[Story]) -> set[Step]:
    """The steps that a story comes by, as the table of an order's life has them."""
    steps = {step for rule in LIFE if rule.do in story.does for step in rule.steps}
    steps -= set() if story.comes_as_one else {Step.SPLIT}
    return steps if story.comes_empty else steps - {Step.ASKED_AGAIN}


def tried(story: type[Story]) -> list[Step]:
    """The steps at which a story is cut short."""
    return [step for step in Step if step in passed(story) and (LONG or step in SHORT[story])]


def test_each_step_of_an_orders_life_is_tried() -> None:
    of_runs = {Step(step.partition(":")[0]) for step in RUN_STEPS}
    assert of_runs <= passed(ARun)
    of_orders = {step for story in STORIES for step in tried(story)}
    assert of_orders | of_runs == {step for rule in LIFE for step in rule.steps} == set(Step)


@pytest.mark.parametrize(("story", "step"), [(story, step) for story in STORIES for step in tried(story)])
def test_killed_at_any_step_each_order_is_made_once_and_nothing_is_lost(
    tell: Tell, story: type[Story], step: Step
) -> None:
    kill_and_start_again(tell(story), step)


@pytest.mark.parametrize(
    "step", ["file-moved:2", "split:2", "archived:2", "begun:2", "forgotten:2", "done:2", "called:2"]
)
def test_killed_at_the_second_of_several_the_same_holds(tell: Tell, step: str) -> None:
    kill_and_start_again(tell(APair if step == "file-moved:2" else AZipOfTwoOrdersAndAHalf), step)


@pytest.mark.parametrize("step", RUN_STEPS)
def test_killed_at_any_step_a_run_is_made_once_with_all_of_its_orders(tell: Tell, step: str) -> None:
    kill_and_start_again(tell(ARun), step)


@pytest.mark.parametrize("step", ["claimed", "held-noted"])
def test_killed_over_a_repeat_of_an_order_that_is_gone_it_is_held_once(tell: Tell, step: str) -> None:
    kill_and_start_again(tell(ARepeatOfAnOrderThatIsGone), step)
