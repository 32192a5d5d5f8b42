"""How long something has waited, by a clock that the test holds."""

from watcher.orders.waiting import Waiting


def test_something_new_has_waited_as_long_as_it_lay_there():
    """A service that starts, or `once` from a timer, must not begin anew."""
    waiting = Waiting()
    waiting.look({"a": 100.0}, 50.0)
    assert waiting.waited("a", 50.0) == 100.0
    assert waiting.waited("a", 60.0) == 110.0


def test_the_steady_clock_goes_on_whatever_later_ages_say():
    """The wall clock may be set meanwhile."""
    waiting = Waiting()
    waiting.look({"a": 0.0}, 50.0)
    waiting.look({"a": 9999.0}, 60.0)
    assert waiting.waited("a", 60.0) == 10.0


def test_a_date_in_the_future_counts_as_now():
    waiting = Waiting()
    waiting.look({"a": -3600.0}, 50.0)
    assert waiting.waited("a", 51.0) == 1.0


def test_what_is_not_there_any_more_is_forgotten():
    waiting = Waiting()
    waiting.look({"a": 0.0}, 0.0)
    waiting.look({}, 10.0)
    waiting.look({"a": 0.0}, 20.0)
    assert waiting.waited("a", 21.0) == 1.0


def test_what_was_never_seen_has_not_waited():
    assert Waiting().waited("a", 5.0) == 0.0


def test_the_next_is_the_one_with_the_least_left():
    waiting = Waiting()
    waiting.look({"a": 10.0, "b": 100.0, "c": 900.0}, 0.0)
    assert waiting.next_after(900.0, 0.0) == 800.0  # c has waited enough


def test_there_is_no_next_when_all_have_waited_enough():
    waiting = Waiting()
    waiting.look({"a": 10.0}, 0.0)
    assert waiting.next_after(5.0, 0.0) is None
    assert Waiting().next_after(5.0, 0.0) is None
