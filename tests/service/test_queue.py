"""Who is next: by due date, then as they came."""

from tests.orders.an_order import an_order
from watcher.orders.model import Order, Repeat
from watcher.service.queue import NEVER, Queue


def order(number: int, due: str | None = None, key: str = "", repeat: str | None = None, *, now: bool = False) -> Order:
    asked = Repeat(order=repeat) if repeat else None
    return an_order(key, number, key=key or f"order{number}", due=due, now=now, repeat=asked)


def queue_of(*orders: Order) -> Queue:
    queue = Queue()
    for one in orders:
        queue.add(one)
    return queue


def numbers(queue: Queue) -> list[int]:
    return [one.number for one in queue]


def test_what_is_due_sooner_goes_first_then_what_came_first():
    queue = queue_of(order(1), order(2, "2026-12-24"), order(3), order(4, "2026-12-01"), order(5, "2026-12-24"))
    assert numbers(queue) == [4, 2, 5, 1, 3]


def test_what_is_wanted_now_goes_before_every_date():
    queue = queue_of(order(1), order(2, "2026-12-01"), order(3, now=True), order(4, now=True))
    assert numbers(queue) == [3, 4, 2, 1]
    assert queue_of(order(3, now=True)).last_due < "2026-12-01"


def test_what_was_begun_already_goes_before_all():
    queue = queue_of(order(1, "2026-01-01"))
    queue.add_again(order(2))
    assert numbers(queue) == [2, 1]


def test_one_leaves_the_queue_when_it_is_its_turn():
    queue = queue_of(order(1), order(2))
    queue.add_again(order(3))
    while (one := queue.next(())) is not None:
        queue.take(one)
    assert len(queue) == 0


def test_the_last_due_date_is_never_where_one_has_none():
    assert queue_of(order(1, "2026-12-01"), order(2, "2026-12-24")).last_due == "2026-12-24"
    assert queue_of(order(1, "2026-12-01"), order(2)).last_due == NEVER
    assert Queue().last_due == NEVER


def test_a_repeat_waits_for_the_order_that_it_repeats():
    queue = queue_of(order(1, "2026-01-01", key="moon", repeat="moon"), order(2, key="moon"), order(3))
    first = queue.next(())
    assert first is not None
    assert first.number == 2
    queue.take(first)
    assert [one.number if one else None for one in (queue.next({"moon"}), queue.next(()))] == [3, 1]


def test_only_a_repeat_of_what_is_being_made_left_means_that_nobody_is_next():
    assert queue_of(order(1, key="moon", repeat="moon")).next({"moon"}) is None
