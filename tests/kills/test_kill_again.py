"""The service dies again and again over one order: the order is set aside only where it may be the cause."""

import os
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.kills.stories import NEVER, APair, ARun, Story, run_to_its_end, start_and_stop

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")

Tell = Callable[[type[Story]], Story]


def die_in_the_middle(*_: object) -> bytes:
    """What stands in for a part of making that takes the whole service with it."""
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError


def why(folder: Path, order: str) -> str:
    return " ".join((folder / f"held/{order}/why.txt").read_text().split())


def test_a_run_with_which_the_service_dies_twice_is_made_singly(tell: Tell) -> None:
    folder = tell(ARun).folder
    for _ in range(2):
        assert start_and_stop(folder, "run-begun") == signal.SIGKILL
    run_to_its_end(folder)
    assert sorted(path.name for path in (folder / "outbox").iterdir() if path.is_dir()) == list(ARun.shared)


def test_an_order_with_which_the_service_dies_five_times_in_a_row_is_set_aside(
    tell: Tell, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tell(APair).folder
    with monkeypatch.context() as patch:
        patch.setattr("watcher.work.order_sheets.preview_picture", die_in_the_middle)
        for _ in range(5):
            assert start_and_stop(folder, NEVER) == signal.SIGKILL
    run_to_its_end(folder)
    assert "died 5 times" in why(folder, "lantern")


class AnOrderThatMayShare(ARun):
    shared = ("apple",)


def test_so_is_one_with_which_it_dies_before_the_order_may_share_sheets(
    tell: Tell, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tell(AnOrderThatMayShare).folder
    with monkeypatch.context() as patch:
        patch.setattr("watcher.work.make_gang_run.checked_art", die_in_the_middle)
        for _ in range(5):
            assert start_and_stop(folder, NEVER) == signal.SIGKILL
    run_to_its_end(folder)
    assert "died 5 times" in why(folder, "apple")


@pytest.mark.parametrize("step", ["begun", "made", "delivering"])
def test_deaths_before_and_after_the_work_on_an_order_say_nothing_against_it(tell: Tell, step: str) -> None:
    """Before: five kills while the worker was still starting set a sound order aside (found by the long form)."""
    folder = tell(APair).folder
    for _ in range(6):
        start_and_stop(folder, step)
    run_to_its_end(folder)
    assert (folder / "outbox/lantern/lantern_sheets.pdf").exists()


def test_a_retry_begins_the_count_anew(tell: Tell, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tell(APair).folder
    with monkeypatch.context() as patch:
        patch.setattr("watcher.work.order_sheets.preview_picture", die_in_the_middle)
        for _ in range(5):
            start_and_stop(folder, NEVER)
        start_and_stop(folder, NEVER)
        (folder / "held/lantern").rename(folder / "inbox/lantern")
        assert start_and_stop(folder, NEVER) == signal.SIGKILL
    run_to_its_end(folder)
    assert (folder / "outbox/lantern/lantern_sheets.pdf").exists()
