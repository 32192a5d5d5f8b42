"""Who is next: by due date, then as they came. Issue 6 item 1."""

from tests.orders.an_order import an_order
from watcher.orders.model import Order, Repeat
from watcher.service.queue import NEVER, InLine


def order(number: int, due: str | None = None, key: str = "", repeat: str | None = None, *, now: bool = False) -> Order:
    asked = Repeat(order=repeat) if repeat else None
    return an_order(key, number, key=key or f"order{number}", due=due, now=now, repeat=asked)


def line_of(*orders: Order) -> InLine:
    line = InLine()
    for one in orders:
        line.add(one)
    return line


def numbers(line: InLine) -> list[int]:
    return [one.number for one in line]


def test_what_is_due_sooner_goes_first_then_what_came_first():
    line = line_of(order(1), order(2, "2026-12-24"), order(3), order(4, "2026-12-01"), order(5, "2026-12-24"))
    assert numbers(line) == [4, 2, 5, 1, 3]


def test_what_is_wanted_now_goes_before_every_date():
    line = line_of(order(1), order(2, "2026-12-01"), order(3, now=True), order(4, now=True))
    assert numbers(line) == [3, 4, 2, 1]
    assert line_of(order(3, now=True)).last_due < "2026-12-01"


def test_what_was_in_hand_already_goes_before_all():
    line = line_of(order(1, "2026-01-01"))
    line.add_again(order(2))
    assert numbers(line) == [2, 1]


def test_one_leaves_the_line_when_it_is_its_turn():
    line = line_of(order(1), order(2))
    line.add_again(order(3))
    while (one := line.next(())) is not None:
        line.take(one)
    assert len(line) == 0


def test_the_last_due_date_is_never_where_one_has_none():
    assert line_of(order(1, "2026-12-01"), order(2, "2026-12-24")).last_due == "2026-12-24"
    assert line_of(order(1, "2026-12-01"), order(2)).last_due == NEVER
    assert InLine().last_due == NEVER


def test_a_repeat_stands_aside_for_the_order_that_it_repeats():
    line = line_of(order(1, "2026-01-01", key="moon", repeat="moon"), order(2, key="moon"), order(3))
    first = line.next(())
    assert first is not None
    assert first.number == 2
    line.take(first)
    assert [one.number if one else None for one in (line.next({"moon"}), line.next(()))] == [3, 1]


def test_only_a_repeat_of_what_is_in_hand_left_means_that_nobody_is_next():
    assert line_of(order(1, key="moon", repeat="moon")).next({"moon"}) is None
