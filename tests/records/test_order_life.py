"""The table of an order's life is complete: whatever may happen in a state has a row."""

import pytest

from watcher.records.order_life import LIFE, ON_THEIR_WAY, Do, Event, If, Rule, State, Then, rules_for
from watcher.steps import Step

ROWS = sorted({(state or "", rule.event) for rule in LIFE for state in rule.states})


def first_row(state: State | None, event: Event, *holding: If) -> Rule:
    """The row that counts when these conditions hold and no others."""
    return next(rule for rule in rules_for(state, event) if rule.when is None or rule.when in holding)


@pytest.mark.parametrize(("state", "event"), ROWS)
def test_the_last_row_of_a_state_and_an_event_alone_has_no_condition(state: str, event: Event):
    whens = [rule.when for rule in rules_for(State(state) if state else None, event)]
    assert [when for when in whens if when is None] == [None]
    assert whens[-1] is None
    assert len(whens) == len(set(whens))


@pytest.mark.parametrize("event", [Event.DISK_FAILED, Event.PROGRAM_FAILED, Event.STARTED_AGAIN])
def test_what_may_happen_at_any_time_has_a_row_in_every_state(event: Event):
    assert all(rules_for(state, event) for state in (None, *State))


@pytest.mark.parametrize("event", [Event.TURN_CAME, Event.NOT_POSSIBLE, Event.PREPARED, Event.RETURN_FAILED])
def test_an_order_on_its_way_can_be_begun_in_whichever_state_it_is(event: Event):
    assert all(rules_for(state, event) for state in (*ON_THEIR_WAY, State.SAME))


def test_every_event_condition_action_and_step_stands_in_the_table():
    assert {rule.event for rule in LIFE} == set(Event)
    assert {rule.when for rule in LIFE} == {None, *If}
    assert {rule.do for rule in LIFE} == set(Do)
    assert {step for rule in LIFE for step in rule.steps} == set(Step)


def test_every_state_can_be_reached_and_each_that_is_no_end_can_be_left():
    assert {rule.then for rule in LIFE if isinstance(rule.then, State)} == set(State)
    for state in State:
        assert any(state in rule.states and rule.then not in (state, Then.STAYS) for rule in LIFE), state


@pytest.mark.parametrize(
    ("holding", "do"),
    [((If.FIRST_DEATH, If.FILES_CHANGED), Do.QUEUE_AGAIN), ((If.FILES_CHANGED,), Do.RETURN), ((), Do.HOLD)],
)
def test_what_happens_when_a_worker_dies_over_an_order(holding: tuple[If, ...], do: Do):
    """The second time, over files that were changed meanwhile, they go back to the inbox."""
    assert first_row(State.MAKING, Event.WORKER_DIED, *holding).do is do


def test_a_disk_that_fails_never_drops_a_finished_product():
    rule = first_row(State.DELIVERING, Event.DISK_FAILED, If.IS_MADE, If.FILES_GONE)
    assert (rule.do, rule.then) == (Do.DELIVER_LATER, Then.STAYS)
