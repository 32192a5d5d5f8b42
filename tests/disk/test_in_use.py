"""Files that another program has open: waited for, but never for long, and never again and again."""

import errno
from pathlib import Path

import pytest

from watcher.disk.in_use import LONGEST_WAIT_S, FileInUse, Waiting


class Clock:
    """A steady clock that only sleeping moves."""

    def __init__(self) -> None:
        self.now, self.slept = 100.0, 0.0

    def sleep(self, seconds: float) -> None:
        self.now += seconds
        self.slept += seconds


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def waiting(clock: Clock) -> Waiting:
    return Waiting(lambda: clock.now, clock.sleep)


class Held:
    """A file that another program has open for so many seconds."""

    def __init__(self, clock: Clock, seconds: float = float("inf")) -> None:
        self.clock, self.until, self.tries = clock, clock.now + seconds, 0

    def move(self) -> str:
        self.tries += 1
        if self.clock.now < self.until:
            raise PermissionError(errno.EACCES, "in use")
        return "moved"


FILE = Path("inbox/a.png")


def test_what_works_is_done_once_and_nobody_waits(waiting, clock):
    held = Held(clock, 0)
    assert (waiting.until_free(FILE, held.move), held.tries, clock.slept) == ("moved", 1, 0)


@pytest.mark.parametrize("seconds", [0.01, 0.5, 2.9])
def test_a_file_that_is_let_go_of_within_seconds_is_waited_for(waiting, clock, seconds):
    assert waiting.until_free(FILE, Held(clock, seconds).move) == "moved"
    assert seconds <= clock.slept <= LONGEST_WAIT_S + 1e-6


def test_one_that_is_not_is_an_error_that_names_it(waiting, clock):
    with pytest.raises(FileInUse) as raised:
        waiting.until_free(FILE, Held(clock).move)
    assert (raised.value.filename, raised.value.errno) == (str(FILE), errno.EACCES)
    assert clock.slept == pytest.approx(LONGEST_WAIT_S)


def test_the_names_of_the_system_itself_are_kept(waiting):
    def move() -> None:
        raise PermissionError(errno.EPERM, "no", "a", None, "b")

    with pytest.raises(FileInUse) as raised:
        waiting.until_free(FILE, move)
    assert (raised.value.filename, raised.value.filename2, raised.value.errno) == ("a", "b", errno.EPERM)


def test_an_error_without_a_number_is_waited_for_too(waiting):
    def move() -> None:
        raise PermissionError

    with pytest.raises(FileInUse) as raised:
        waiting.until_free(FILE, move)
    assert raised.value.errno == errno.EACCES


@pytest.mark.parametrize("error", [FileNotFoundError(2, "gone"), OSError(errno.ENOSPC, "full")])
def test_another_trouble_is_not_waited_for(waiting, clock, error):
    def move() -> None:
        raise error

    with pytest.raises(type(error)):
        waiting.until_free(FILE, move)
    assert clock.slept == 0


def test_trouble_that_comes_while_it_is_waited_for_ends_the_waiting(waiting, clock):
    answers = [PermissionError(13, "in use"), FileNotFoundError(2, "gone")]

    def move() -> None:
        raise answers.pop(0)

    with pytest.raises(FileNotFoundError):
        waiting.until_free(FILE, move)


def test_a_paused_service_that_tries_every_minute_waits_once(waiting, clock):
    held = Held(clock)
    for _ in range(10):
        with pytest.raises(FileInUse):
            waiting.until_free(FILE, held.move)
        clock.now += 60
    assert clock.slept == pytest.approx(LONGEST_WAIT_S)


def test_once_it_was_free_it_is_waited_for_again(waiting, clock):
    for _ in range(2):
        with pytest.raises(FileInUse):
            waiting.until_free(FILE, Held(clock).move)
        waiting.until_free(FILE, Held(clock, 0).move)
    assert clock.slept == pytest.approx(2 * LONGEST_WAIT_S)


def test_a_folder_that_may_not_be_written_to_does_not_cost_the_wait_for_each_of_its_files(waiting, clock):
    for number in range(50):
        with pytest.raises(FileInUse):
            waiting.until_free(Path(f"inbox/{number}.png"), Held(clock).move)
    assert clock.slept <= 2 * LONGEST_WAIT_S + 1e-6


def test_another_folder_is_waited_for_all_the_same(waiting, clock):
    for number in range(5):
        with pytest.raises(FileInUse):
            waiting.until_free(Path(f"inbox/{number}.png"), Held(clock).move)
    assert waiting.until_free(Path("held/b.png"), Held(clock, 1).move) == "moved"
