"""Rest and completeness by a clock that the test holds."""

from dataclasses import replace
from pathlib import Path

import pytest

from watcher.inbox.complete import Completeness
from watcher.inbox.scan import Identity, SeenFile
from watcher.inbox.settle import MOVED_S, Settling

QUIET = 2.0


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
    file = _seen()
    assert settling.look([file], 100.0).ready == ()
    assert settling.look([file], 101.9).moving == (file,)
    assert settling.look([file], 102.0).ready == (file,)


def test_nothing_is_opened_before_it_has_rested_and_then_but_once(settling, asked):
    asked.answer = Completeness.GROWING
    file = _seen()
    settling.look([file], 100.0)
    assert asked.questions == []
    for now in (102.0, 103.0, 104.0):
        settling.look([file], now)
    assert asked.questions == [file.path]


@pytest.mark.parametrize("part", ["device", "inode", "size", "mtime_ns", "ctime_ns"])
def test_any_change_starts_the_rest_anew(settling, part):
    file = _seen()
    settling.look([file], 100.0)
    changed = replace(file, identity=replace(file.identity, **{part: 999}))
    assert settling.look([changed], 102.0).moving == (changed,)
    assert settling.look([changed], 104.0).ready == (changed,)


def test_an_old_date_on_the_file_is_no_rest(settling):
    """Copying tools set the date of the original."""
    file = _seen(touched_s=-1e9)
    assert settling.look([file], 100.0).ready == ()


def test_a_file_that_is_not_all_there_says_how_long_it_has_stood_still(settling, asked):
    asked.answer = Completeness.GROWING
    file = _seen()
    assert settling.look([file], 100.0).stuck_since == {}
    assert settling.look([file], 102.0).stuck_since == {file.path: 2.0}
    assert settling.look([file], 700.0).stuck_since == {file.path: 600.0}
    grown = _seen(size=20)
    assert settling.look([grown], 701.0).stuck_since == {}


def test_a_grown_file_is_asked_again(settling, asked):
    asked.answer = Completeness.GROWING
    settling.look([_seen()], 100.0)
    settling.look([_seen()], 102.0)
    asked.answer = Completeness.WHOLE
    settling.look([_seen(size=20)], 103.0)
    assert settling.look([_seen(size=20)], 105.0).ready == (_seen(size=20),)


def test_a_file_that_went_and_came_back_rests_from_the_start(settling):
    settling.look([_seen()], 100.0)
    settling.look([], 101.0)
    assert settling.look([_seen()], 102.0).ready == ()


def test_a_file_that_cannot_be_opened_now_is_asked_again_at_the_next_look(settling, asked):
    asked.answer = PermissionError(13, "denied")
    settling.look([_seen()], 100.0)
    assert settling.look([_seen()], 102.0).stuck_since == {_seen().path: 2.0}
    asked.answer = Completeness.WHOLE
    assert settling.look([_seen()], 103.0).ready == (_seen(),)


def test_without_quiet_the_first_look_is_enough(asked):
    assert Settling(0.0, asked).look([_seen()], 100.0).ready == (_seen(),)


def test_the_next_look_is_due_when_the_longest_resting_file_could_be_ready(settling):
    assert settling.next_look_in(100.0) is None
    settling.look([_seen("a.png")], 100.0)
    settling.look([_seen("a.png"), _seen("b.png")], 101.0)
    assert settling.next_look_in(101.5) == pytest.approx(0.5)
    assert settling.next_look_in(109.0) == 0.0


@pytest.mark.parametrize("answer", [Completeness.GROWING, OSError("gone")])
def test_what_has_rested_but_is_not_whole_asks_for_no_look_of_its_own(settling, asked, answer):
    """Else the service would never sleep beside one broken file."""
    asked.answer = answer
    settling.look([_seen()], 100.0)
    settling.look([_seen()], 102.0)
    assert settling.next_look_in(103.0) is None


def test_for_one_look_alone_the_time_of_day_may_prove_rest(settling):
    old, fresh = _seen("old.png", touched_s=5000), _seen("fresh.png", touched_s=9999)
    assert settling.look([old, fresh], 0.0, wall_now=10_000.0).ready == (old,)


def test_a_content_newer_than_its_making_counts_for_that(settling):
    """Where a system keeps the time of making in place of the last change, a long copy still looks old."""
    file = _seen(touched_s=5000)
    written = replace(file, identity=replace(file.identity, mtime_ns=int(9999e9)))
    assert settling.look([written], 0.0, wall_now=10_000.0).ready == ()


def _moved(name: str = "a.png", *, written_s: float = 5000.25, moved_s: float = 5000.5, size: int = 10) -> SeenFile:
    file = _seen(name, size=size)
    return replace(file, identity=replace(file.identity, mtime_ns=int(written_s * 1e9), ctime_ns=int(moved_s * 1e9)))


def test_a_whole_file_that_was_moved_in_rests_but_a_moment(settling):
    """Renaming changes the change time alone; source: POSIX.1-2017, rename(), write()."""
    assert settling.look([_moved()], 100.0).moving == (_moved(),)
    assert settling.next_look_in(100.0) == MOVED_S
    assert settling.look([_moved()], 100.0 + MOVED_S).ready == (_moved(),)


def test_a_file_that_was_last_written_to_rests(settling):
    """A copy in place that pauses: both times are those of its last write, even where its end is already there."""
    paused = _moved(moved_s=5000.25)
    assert settling.look([paused], 100.0).moving == (paused,)
    assert settling.look([paused], 101.9).moving == (paused,)


def test_a_file_that_was_moved_in_before_it_was_whole_rests_and_is_asked_again(settling, asked):
    asked.answer = Completeness.GROWING
    assert settling.look([_moved()], 100.0).stuck_since == {}
    asked.answer = Completeness.WHOLE
    assert settling.look([_moved()], 101.0).moving == (_moved(),)
    assert settling.look([_moved()], 102.0).ready == (_moved(),)


def test_a_file_that_was_seen_growing_rests_whatever_its_dates_say(settling):
    settling.look([_moved(size=5)], 100.0)
    settling.look([_moved(size=10, moved_s=5000.25)], 101.0)
    grown = _moved(size=10, moved_s=5003)
    assert settling.look([grown], 102.0).moving == (grown,)
    assert settling.look([grown], 104.0).ready == (grown,)


@pytest.mark.parametrize("name", ["a.toml", "a.docx", "a"])
def test_what_has_no_end_of_its_own_rests_although_it_was_moved_in(settling, name):
    settling.look([_moved(name)], 100.0)
    assert settling.look([_moved(name)], 101.9).ready == ()


@pytest.mark.parametrize(("moved_s", "is_ready"), [(5001.5, False), (5002.0, True)])
def test_dates_in_whole_seconds_must_lie_apart(settling, moved_s, is_ready):
    """FAT keeps the date of writing in steps of 2 s (Microsoft FAT specification, 6.3)."""
    settling.look([_moved(written_s=5000, moved_s=moved_s)], 100.0)
    assert bool(settling.look([_moved(written_s=5000, moved_s=moved_s)], 101.0).ready) is is_ready


def test_where_there_is_no_change_time_all_files_rest(settling, monkeypatch):
    monkeypatch.setattr("watcher.inbox.settle._HAS_CHANGE_TIME", False)
    settling.look([_moved()], 100.0)
    assert settling.look([_moved()], 101.9).ready == ()
