"""Rest and completeness by a clock that the test holds."""

from dataclasses import replace
from pathlib import Path

import pytest

from watcher.inbox.complete import Completeness
from watcher.inbox.scan import Identity, SeenFile
from watcher.inbox.settle import WHOLE_S, Settling

QUIET = 2.0
TEXT = "a.toml"  # of no format whose end can be seen


def _seen(name: str = "a.png", *, size: int = 10, touched_s: float = 0) -> SeenFile:
    stamp = int(touched_s * 1e9)
    identity = Identity(device=1, inode=1, size=size, mtime_ns=stamp, ctime_ns=stamp)
    return SeenFile(path=Path("inbox", name), folder=None, name=name, identity=identity)


class _Asked:
    """Answers whether a file is whole and remembers each question."""

    def __init__(self, answer: Completeness = Completeness.WHOLE) -> None:
        self.answer: Completeness | OSError = answer
        self.questions: list[Path] = []

    def __call__(self, path: Path) -> Completeness:
        self.questions.append(path)
        if isinstance(self.answer, OSError):
            raise self.answer
        return self.answer


@pytest.fixture
def asked() -> _Asked:
    return _Asked()


@pytest.fixture
def settling(asked) -> Settling:
    return Settling(QUIET, asked)


def test_a_file_is_ready_when_two_looks_quiet_apart_see_the_same(settling):
    file = _seen(TEXT)
    assert settling.update([file], 100.0).ready == ()
    assert settling.update([file], 101.9).moving == (file,)
    assert settling.update([file], 102.0).ready == (file,)


def test_nothing_is_opened_before_it_has_rested_and_then_but_once(settling, asked):
    asked.answer = Completeness.GROWING
    file = _seen(TEXT)
    settling.update([file], 100.0)
    assert asked.questions == []
    for now in (102.0, 103.0, 104.0):
        settling.update([file], now)
    assert asked.questions == [file.path]


@pytest.mark.parametrize("part", ["device", "inode", "size", "mtime_ns", "ctime_ns"])
def test_any_change_starts_the_rest_anew(settling, part):
    file = _seen()
    settling.update([file], 100.0)
    changed = replace(file, identity=replace(file.identity, **{part: 999}))
    assert settling.update([changed], 102.0).moving == (changed,)
    assert settling.update([changed], 104.0).ready == (changed,)


def test_an_old_date_on_the_file_is_no_rest(settling):
    """Copying tools set the date of the original."""
    file = _seen(touched_s=-1e9)
    assert settling.update([file], 100.0).ready == ()


def test_a_file_that_is_not_all_there_says_how_long_it_has_stood_still(settling, asked):
    asked.answer = Completeness.GROWING
    file = _seen()
    assert settling.update([file], 100.0).stuck_since == {}
    assert settling.update([file], 102.0).stuck_since == {file.path: 2.0}
    assert settling.update([file], 700.0).stuck_since == {file.path: 600.0}
    grown = _seen(size=20)
    assert settling.update([grown], 701.0).stuck_since == {}


def test_a_grown_file_is_asked_again(settling, asked):
    asked.answer = Completeness.GROWING
    settling.update([_seen()], 100.0)
    settling.update([_seen()], 102.0)
    asked.answer = Completeness.WHOLE
    settling.update([_seen(size=20)], 103.0)
    assert settling.update([_seen(size=20)], 105.0).ready == (_seen(size=20),)


def test_a_file_that_went_and_came_back_rests_from_the_start(settling):
    settling.update([_seen()], 100.0)
    settling.update([], 101.0)
    assert settling.update([_seen()], 102.0).ready == ()


def test_a_file_that_cannot_be_opened_now_is_asked_again_at_the_next_look(settling, asked):
    asked.answer = PermissionError(13, "denied")
    settling.update([_seen()], 100.0)
    assert settling.update([_seen()], 102.0).stuck_since == {_seen().path: 2.0}
    asked.answer = Completeness.WHOLE
    assert settling.update([_seen()], 103.0).ready == (_seen(),)


def test_without_quiet_the_first_look_is_enough(asked):
    assert Settling(0.0, asked).update([_seen()], 100.0).ready == (_seen(),)


def test_the_next_look_is_due_when_the_longest_resting_file_could_be_ready(settling):
    assert settling.next_look_in(100.0) is None
    settling.update([_seen(TEXT)], 100.0)
    settling.update([_seen(TEXT), _seen("b.toml")], 101.0)
    assert settling.next_look_in(101.5) == pytest.approx(0.5)
    assert settling.next_look_in(109.0) == 0.0


@pytest.mark.parametrize("answer", [Completeness.GROWING, OSError("gone")])
def test_what_has_rested_but_is_not_whole_asks_for_no_look_of_its_own(settling, asked, answer):
    """Else the service would never sleep beside one broken file."""
    asked.answer = answer
    settling.update([_seen()], 100.0)
    settling.update([_seen()], 102.0)
    assert settling.next_look_in(103.0) is None


def test_for_one_look_alone_the_time_of_day_may_prove_rest(settling):
    old, fresh = _seen("old.toml", touched_s=5000), _seen("fresh.toml", touched_s=9999)
    assert settling.update([old, fresh], 0.0, wall_now=10_000.0).ready == (old,)


def test_a_content_newer_than_its_making_counts_for_that(settling):
    """Where a system keeps the time of making in place of the last change, a long copy still looks old."""
    file = _seen(TEXT, touched_s=5000)
    written = replace(file, identity=replace(file.identity, mtime_ns=int(9999e9)))
    assert settling.update([written], 0.0, wall_now=10_000.0).ready == ()


def test_a_file_that_is_whole_when_it_is_first_seen_rests_but_a_moment(settling):
    file = _seen()
    assert settling.update([file], 100.0).moving == (file,)
    assert settling.next_look_in(100.0) == WHOLE_S
    assert settling.update([file], 100.0 + WHOLE_S).ready == (file,)


def test_a_file_that_is_not_whole_when_it_is_first_seen_rests_and_is_asked_again(settling, asked):
    asked.answer = Completeness.GROWING
    file = _seen()
    assert settling.update([file], 100.0).stuck_since == {}
    asked.answer = Completeness.WHOLE
    assert settling.update([file], 101.0).moving == (file,)
    assert settling.update([file], 102.0).ready == (file,)


def test_a_file_that_was_seen_growing_rests_although_its_end_is_there(settling):
    """A copy in place that pauses."""
    settling.update([_seen(size=5)], 100.0)
    grown = _seen(size=10, touched_s=1)
    settling.update([grown], 100.1)
    assert settling.update([grown], 102.0).moving == (grown,)
    assert settling.update([grown], 102.1).ready == (grown,)


def test_another_file_that_takes_the_place_of_one_is_new(settling):
    """Programs that save aside and rename over."""
    settling.update([_seen()], 100.0)
    other = replace(_seen(), identity=replace(_seen().identity, inode=2))
    settling.update([other], 100.1)
    assert settling.update([other], 100.1 + WHOLE_S).ready == (other,)


@pytest.mark.parametrize("name", ["a.toml", "a.docx", "a"])
def test_what_has_no_end_of_its_own_rests_however_it_came(settling, name):
    settling.update([_seen(name)], 100.0)
    assert settling.update([_seen(name)], 101.9).ready == ()


def test_by_the_clock_on_the_wall_a_file_is_stuck_since_its_last_change(settling, asked):
    """`once` looks but one time; the steady clock of that run tells nothing of how long a file has been cut short."""
    asked.answer = Completeness.GROWING
    file = _seen("a.pdf", touched_s=1_000.0)
    assert settling.update([file], 5.0, wall_now=1_601.0).stuck_since == {file.path: 601.0}
