"""How long something has waited, by a clock that the test holds."""

import time
from dataclasses import replace
from pathlib import Path

from watcher.inbox.scan import Identity, SeenFile
from watcher.inbox.settle import Rested
from watcher.orders.waiting import Arrivals, Waiting


def test_something_new_has_waited_as_long_as_it_lay_there():
    """A service that starts, or `once` from a timer, must not begin anew."""
    waiting = Waiting()
    waiting.update({"a": 100.0}, 50.0)
    assert waiting.waited("a", 50.0) == 100.0
    assert waiting.waited("a", 60.0) == 110.0


def test_the_steady_clock_goes_on_whatever_later_ages_say():
    """The wall clock may be set meanwhile."""
    waiting = Waiting()
    waiting.update({"a": 0.0}, 50.0)
    waiting.update({"a": 9999.0}, 60.0)
    assert waiting.waited("a", 60.0) == 10.0


def test_a_date_in_the_future_counts_as_now():
    waiting = Waiting()
    waiting.update({"a": -3600.0}, 50.0)
    assert waiting.waited("a", 51.0) == 1.0


def test_what_is_not_there_any_more_is_forgotten():
    waiting = Waiting()
    waiting.update({"a": 0.0}, 0.0)
    waiting.update({}, 10.0)
    waiting.update({"a": 0.0}, 20.0)
    assert waiting.waited("a", 21.0) == 1.0


def test_what_was_never_seen_has_not_waited():
    assert Waiting().waited("a", 5.0) == 0.0


def test_the_next_is_the_one_with_the_least_left():
    waiting = Waiting()
    waiting.update({"a": 10.0, "b": 100.0, "c": 900.0}, 0.0)
    assert waiting.next_after(900.0, 0.0) == 800.0  # c has waited enough


def test_there_is_no_next_when_all_have_waited_enough():
    waiting = Waiting()
    waiting.update({"a": 10.0}, 0.0)
    assert waiting.next_after(5.0, 0.0) is None
    assert Waiting().next_after(5.0, 0.0) is None


def _lying(path: Path, age_s: float) -> SeenFile:
    path.write_bytes(b"x")
    changed = time.time_ns() - int(age_s * 1e9)
    identity = replace(Identity.of(path.lstat()), ctime_ns=changed)
    return SeenFile(path=path, folder=None, name=path.name, identity=identity)


def test_what_was_there_at_the_first_look_is_as_old_as_its_date_at_later_looks_too(tmp_path):
    """What is in a ZIP is known at the second look; the wait has not begun anew then."""
    file, arrivals = _lying(tmp_path / "a.zip", 100.0), Arrivals()
    for now in (0.0, 0.1, 0.2):
        arrivals.update(Rested(ready=(file,)), now)
    assert arrivals.age(file.identity, 0.2) >= 100.0


def test_what_came_between_two_looks_is_not_older_than_the_first_of_them(tmp_path):
    """The clock on the wall was set forward by an hour."""
    file, arrivals = _lying(tmp_path / "a.png", 3600.0), Arrivals()
    arrivals.update(Rested(), 10.0)
    arrivals.update(Rested(ready=(file,)), 12.0)
    arrivals.update(Rested(ready=(file,)), 15.0)
    assert arrivals.age(file.identity, 15.0) == 5.0
