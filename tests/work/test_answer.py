"""What doing a task comes to."""

import errno
import re
from collections.abc import Callable

import pytest

from watcher.errors import ArtUnreadable
from watcher.terms import Finding, Level
from watcher.work.answer import Answer, answer_to


def _raises(error: BaseException) -> Callable[[object], object]:
    def run(_message: object) -> object:
        raise error

    return run


def test_every_end_of_a_task_has_its_answer():
    assert answer_to(str, 5) == Answer(result="5")
    unreadable = Finding(level=Level.REFUSE, code="art-unreadable", message="a.png is empty. Export it again.")
    assert answer_to(_raises(ArtUnreadable("a.png", "is empty")), None) == Answer(reasons=(unreadable,))
    full = "the disk is full: nothing more can be written. Make room there"
    assert answer_to(_raises(OSError(28, "No space left")), None).trouble == full
    assert answer_to(_raises(MemoryError()), None).died == "it needed too much memory"
    broken = answer_to(_raises(RecursionError("deep")), None)
    assert broken.died == "the program could not cope with it"
    assert broken.detail is not None
    assert re.fullmatch(r"RecursionError: deep \(run:\d+ < answer_to:\d+\)", broken.detail)


@pytest.mark.parametrize("error", [OSError("broken data stream"), OSError(errno.EINVAL, "a place that cannot be")])
def test_what_a_library_says_of_a_file_is_no_trouble_with_the_disk(error):
    """Else a damaged file would make everything wait for ever."""
    answer = answer_to(_raises(error), None)
    assert (answer.trouble, answer.died) == (None, "the program could not cope with it")


def test_what_is_told_of_an_error_is_short_however_deep_and_long_it_is():
    def fall(depth: int) -> None:
        if depth == 0:
            raise RuntimeError("x" * 100_000)
        fall(depth - 1)

    broken = answer_to(fall, 300)
    assert broken.detail is not None
    assert len(broken.detail) < 3_000
