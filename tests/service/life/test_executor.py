"""What the table of an order's life says is what is done, and the journal has the state that it says."""

from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest

from watcher.records.order_life import LIFE, Do, Event, Rule, State, Then
from watcher.service.life import executor
from watcher.service.life.cases import Case, OrderCase, RunCase
from watcher.service.life.executor import ORDER, RUN, happen
from watcher.service.life.making import Making
from watcher.service.loop import Service

Once = Callable[[Path], Service]


@pytest.fixture
def passed(monkeypatch: pytest.MonkeyPatch) -> list[Do]:
    """What is done, in its order; after each action the order must have the state of its row."""
    done: list[Do] = []
    rules: list[Rule] = []
    look_up, carry_out = executor._rule, executor.carry_out

    def noting(*arguments: object) -> Rule:
        rules.append(look_up(*arguments))
        done.append(rules[-1].do)
        return rules[-1]

    def checking(making: Making, case: Case, event: Event) -> object:
        before = making.journal.state_of(case.number) if isinstance(case, OrderCase) else None
        following = carry_out(making, case, event)
        if isinstance(case, OrderCase):
            ended = rules[-1].then is Then.GONE or rules[-1].do is Do.DROP_SAME
            wanted = None if ended else before if rules[-1].then is Then.STAYS else rules[-1].then
            assert making.journal.state_of(case.number) == wanted, rules[-1]
        return following

    monkeypatch.setattr(executor, "_rule", noting)
    monkeypatch.setattr(executor, "carry_out", checking)
    return done


def drop(folder: Path, draw: Callable[..., Path], name: str, size: tuple[int, int] = (378, 522)) -> None:
    for side in ("front", "back"):
        draw(folder / f"inbox/{name}_{side}.png", size, word=side)


def test_every_action_and_condition_is_bound_for_those_whose_events_it_stands_under():
    for rule in LIFE:
        binding = RUN if rule.event.name.startswith("RUN_") else ORDER
        assert rule.do in binding.actions, rule
        assert rule.when is None or rule.when in binding.conditions, rule


def test_a_good_order_is_made_delivered_recorded_and_announced(
    print_folder: Path, tags_may_share: Path, once: Once, draw_card: Callable[..., Path], passed: list[Do]
):
    drop(print_folder, draw_card, "lantern")
    once(print_folder)
    begun = [Do.QUEUE, Do.PREPARE, Do.MAKE, Do.KEEP_FOR_DELIVERY]
    assert passed == [*begun, Do.DELIVER, Do.RECORD, Do.LOG_AND_CALL, Do.DROP_NOTE]


def test_an_order_that_a_worker_refuses_is_held(
    print_folder: Path, once: Once, draw_card: Callable[..., Path], passed: list[Do]
):
    drop(print_folder, draw_card, "lantern", (100, 138))
    once(print_folder)
    assert passed == [Do.QUEUE, Do.PREPARE, Do.MAKE, Do.HOLD, Do.LOG, Do.DROP_NOTE]


def test_the_same_art_again_is_dropped_while_its_sheets_lie_in_the_outbox(
    print_folder: Path, once: Once, draw_card: Callable[..., Path], passed: list[Do]
):
    drop(print_folder, draw_card, "lantern")
    once(print_folder)
    passed.clear()
    drop(print_folder, draw_card, "lantern")
    once(print_folder)
    assert passed == [Do.QUEUE, Do.PREPARE, Do.DROP_SAME]


def test_orders_that_share_a_sheet_are_recorded_before_their_run_is_announced(
    print_folder: Path, tags_may_share: Path, once: Once, draw_card: Callable[..., Path], passed: list[Do]
):
    for name in ("apple", "birch"):
        draw_card(print_folder / f"inbox/tag/{name}.png", (258, 173), word=name)
    once(print_folder)
    run = [Do.MAKE_RUN, Do.LEAVE_OUT, Do.DELIVER_RUN, *2 * [Do.RECORD, Do.LOG_IN_RUN], Do.LOG_AND_CALL_RUN]
    assert passed[-10:] == [*run, *2 * [Do.DROP_NOTE]]
    assert passed.count(Do.WAIT_FOR_OTHERS) == 2


def test_a_fault_of_the_program_over_one_order_has_it_held_and_the_others_go_on(
    print_folder: Path, once: Once, draw_card: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
):
    real = ORDER.actions[Do.PREPARE]

    def broken_over_comet(making: Making, case: OrderCase) -> object:
        if case.order.name == "comet":
            raise ZeroDivisionError
        return real(making, case)

    monkeypatch.setitem(ORDER.actions, Do.PREPARE, broken_over_comet)
    for name in ("comet", "nova"):
        drop(print_folder, draw_card, name)
    service = once(print_folder)
    assert (service.making.made, service.making.held) == (1, 1)
    assert "ZeroDivisionError" in (print_folder / "held/comet/why.txt").read_text()


def test_a_fault_in_dealing_with_a_fault_ends_the_service(
    print_folder: Path, once: Once, monkeypatch: pytest.MonkeyPatch
):
    def breaks(*_: object) -> object:
        raise ZeroDivisionError

    making = once(print_folder).making
    monkeypatch.setitem(ORDER.actions, Do.LEAVE, breaks)
    with pytest.raises(ZeroDivisionError):
        happen(making, OrderCase(number=1), Event.PROGRAM_FAILED)


def test_a_run_is_as_far_as_its_least_far_order_that_is_not_held():
    states = {1: State.DELIVERING, 2: State.HELD, 3: State.DONE}
    making = SimpleNamespace(journal=SimpleNamespace(state_of=states.get))
    assert executor._state_of_run(making, RunCase(numbers=(1, 2, 3))) is State.DELIVERING
    assert executor._state_of_run(making, RunCase(numbers=(2,))) is None
