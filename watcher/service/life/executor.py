"""Carry out the table of an order's life: look a row up, do what it says, and go on with what that brings about."""

from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from watcher.records.order_life import Do, Event, If, Rule, State, rules_for
from watcher.service.life import (
    announcing,
    beginning,
    completing,
    delivery,
    gang_delivery,
    gang_orders,
    gang_waiting,
    holding,
    queueing,
    returning,
)
from watcher.service.life.cases import Case, Next, OrderCase, RunCase
from watcher.service.life.making import Making

_Kind = TypeVar("_Kind", OrderCase, RunCase)


@dataclass(frozen=True, kw_only=True)
class Binding(Generic[_Kind]):
    """The functions that the names in the table stand for.

    Attributes:
        first: what is done before a row is looked for.
        conditions: one for each `If`.
        actions: one for each `Do`; each gives what happens next.
        disk_failed: the event when one of them raises an OSError.
        program_failed: the event when one of them raises anything else, or fails over `disk_failed`.
    """

    first: Mapping[Event, Callable[[Making, _Kind], _Kind]]
    conditions: Mapping[If, Callable[[Making, _Kind], bool]]
    actions: Mapping[Do, Callable[[Making, _Kind], Next]]
    disk_failed: Event
    program_failed: Event


ORDER = Binding[OrderCase](
    first={
        Event.TURN_CAME: beginning.check_folders,
        Event.DELIVERY_DUE: beginning.check_folders,
        Event.WORKER_DIED: beginning.count_worker_death,
    },
    conditions={
        If.HAS_FAULT: queueing.has_fault,
        If.IS_REPEAT: beginning.is_repeat,
        If.SAME_ART_IN_OUTBOX: beginning.is_same_art_in_outbox,
        If.SHARES_SHEETS: beginning.shares_sheets,
        If.MAY_BE_ACCEPTED: holding.may_be_accepted,
        If.FILES_CHANGED: returning.files_changed,
        If.FILES_GONE: returning.files_gone,
        If.FIRST_DEATH: beginning.is_first_death,
        If.PAUSED: beginning.is_paused,
        If.IS_MADE: delivery.is_made,
        If.PRODUCT_NOT_WHOLE: delivery.is_product_not_whole,
        If.ITS_OWN_TROUBLE: queueing.is_its_own_trouble,
        If.NOT_THE_DISK: queueing.is_not_the_disk,
        If.IN_A_RUN: delivery.is_in_a_run,
        If.FILES_ARRIVED: completing.has_arrived,
        If.CLAIM_NOT_WHOLE: completing.is_claim_not_whole,
        If.FIRST_DEATH_IN_A_RUN: queueing.is_first_death_in_a_run,
        If.DIED_TOO_OFTEN: queueing.died_too_often,
        If.IN_ARCHIVE: completing.is_in_archive,
    },
    actions={
        Do.QUEUE: queueing.queue,
        Do.PREPARE: beginning.prepare,
        Do.PREPARE_REPEAT: beginning.prepare_repeat,
        Do.DROP_SAME: beginning.drop_same,
        Do.EXAMINE: beginning.examine,
        Do.MAKE: beginning.make,
        Do.WAIT_FOR_OTHERS: gang_waiting.wait_for_others,
        Do.KEEP_FOR_DELIVERY: delivery.keep_for_delivery,
        Do.DELIVER_NOW: delivery.deliver_now,
        Do.DELIVER: delivery.deliver_order,
        Do.DELIVER_LATER: delivery.deliver_later,
        Do.MAKE_AGAIN: delivery.make_again,
        Do.RECORD: delivery.record,
        Do.LOG: announcing.log_held,
        Do.LOG_IN_RUN: announcing.log_in_run,
        Do.LOG_AND_CALL: announcing.log_and_call,
        Do.DROP_NOTE: announcing.drop_note,
        Do.QUEUE_AGAIN: queueing.queue_again,
        Do.QUEUE_FIRST: queueing.queue_first,
        Do.QUEUE_FIRST_AND_PAUSE: queueing.queue_first_and_pause,
        Do.HOLD: holding.hold_order,
        Do.HOLD_FOR_TROUBLE: queueing.hold_for_trouble,
        Do.HOLD_NEXT: queueing.hold_next,
        Do.RETURN: returning.return_order,
        Do.LEAVE: queueing.leave,
        Do.COMPLETE_DELIVERY: completing.complete_delivery,
        Do.COMPLETE_HOLD: holding.complete_hold,
        Do.COMPLETE_SAME: completing.complete_same,
        Do.UNDO_CLAIM: completing.undo_claim,
        Do.COUNT_DEATH: completing.count_death,
        Do.QUEUE_TO_BE_HELD: queueing.queue_to_be_held,
        Do.QUEUE_ALONE: queueing.queue_alone,
        Do.FORGET: completing.forget,
    },
    disk_failed=Event.DISK_FAILED,
    program_failed=Event.PROGRAM_FAILED,
)
RUN = Binding[RunCase](
    first={Event.RUN_DUE: gang_orders.check_folders, Event.RUN_DELIVERY_DUE: gang_orders.check_folders},
    conditions={
        If.NOBODY_TO_SHARE_WITH: gang_orders.has_nobody_to_share_with,
        If.SAVES_NOTHING: gang_orders.saves_nothing,
        If.FILES_CHANGED: gang_delivery.are_files_changed,
        If.PRODUCT_NOT_WHOLE: gang_delivery.is_run_not_whole,
        If.IS_MADE: gang_delivery.is_run_made,
        If.ITS_OWN_TROUBLE: gang_waiting.is_its_own_trouble,
    },
    actions={
        Do.MAKE_RUN: gang_orders.make_run,
        Do.MAKE_SINGLY: gang_waiting.make_singly,
        Do.LEAVE_OUT: gang_orders.leave_out,
        Do.HANDLE_SPOILED: gang_orders.handle_spoiled,
        Do.DELIVER_RUN: gang_delivery.deliver_whole_run,
        Do.DELIVER_RUN_LATER: gang_delivery.deliver_run_later,
        Do.LOG_AND_CALL_RUN: announcing.log_and_call_run,
        Do.MAKE_RUN_AGAIN: gang_delivery.make_run_again,
        Do.RETURN_CHANGED: gang_delivery.return_changed,
        Do.SHARE_AGAIN: gang_waiting.share_again,
        Do.SHARE_AGAIN_LATER: gang_waiting.share_again_later,
    },
    disk_failed=Event.RUN_DISK_FAILED,
    program_failed=Event.RUN_PROGRAM_FAILED,
)


def happen(making: Making, case: Case, event: Event) -> bool:
    """Deal with an event, and with all that follows from it. What fails over one order is an event too.

    Returns:
        False when disk, rights or mounts stood in the way: then a pause has begun.
    """
    before = making.journal.pauses_begun
    ahead: deque[tuple[Case, Event]] = deque([(case, event)])
    while ahead:
        case, event = ahead.popleft()
        try:
            following: Next = carry_out(making, case, event)
        except Exception as error:  # whatever fails over one order is that order's event; the others go on
            following = [_failed(case, event, error)]
        ahead.extendleft(reversed(following))
    return making.journal.pauses_begun == before


def happen_at_start(making: Making, case: Case, event: Event) -> None:
    """Deal with an event while the service starts.

    Raises:
        OSError: disk, rights or mounts stand in the way; the next start goes on with it.
    """
    ahead: deque[tuple[Case, Event]] = deque([(case, event)])
    while ahead:
        ahead.extendleft(reversed(carry_out(making, *ahead.popleft())))


def carry_out(making: Making, case: Case, event: Event) -> Next:
    """Do what the table says about one event.

    Returns:
        What happens next.
    """
    if isinstance(case, OrderCase):
        return _carry_out(making, ORDER, case, event, making.journal.state_of(case.number))
    return _carry_out(making, RUN, case, event, _state_of_run(making, case))


def _carry_out(making: Making, binding: Binding[_Kind], case: _Kind, event: Event, state: State | None) -> Next:
    if event in binding.first:
        case = binding.first[event](making, case)
    rule = _rule(making, binding, case, rules_for(state, event))
    then = rule.then if isinstance(rule.then, State) else None
    return binding.actions[rule.do](making, replace(case, then=then))


def _rule(making: Making, binding: Binding[_Kind], case: _Kind, rules: tuple[Rule, ...]) -> Rule:
    return next(rule for rule in rules if rule.when is None or binding.conditions[rule.when](making, case))


def _state_of_run(making: Making, case: RunCase) -> State | None:
    """The state of the order of a run that is least far; one that is held belongs to it no more."""
    states = {making.journal.state_of(number) for number in case.numbers} - {State.HELD}
    return next((state for state in State if state in states), None)


def _failed(case: Case, event: Event, error: Exception) -> tuple[Case, Event]:
    """The event that an error is.

    Raises:
        Exception: the error, where even dealing with a fault of the program fails.
    """
    binding = ORDER if isinstance(case, OrderCase) else RUN
    if event is binding.program_failed:
        raise error
    is_disk = isinstance(error, OSError) and event is not binding.disk_failed
    return replace(case, error=error), binding.disk_failed if is_disk else binding.program_failed
