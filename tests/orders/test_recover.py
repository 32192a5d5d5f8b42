"""Killed before any single change on disk and started again: every byte is there, once, and nothing of ours is left.

The process is really gone each time (see `is_killed_at`): no handler has tidied up.
"""

import errno
import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.killed_copy import is_killed_at
from watcher.orders.claim import claim, drop_taking, note_of, put_back, read_note, taking_folder, write_note
from watcher.orders.model import Order
from watcher.orders.pairing import bundles
from watcher.orders.recover import forget_note, highest_number, left_overs, undo

MOST_STEPS = 200


@pytest.fixture(autouse=True)
def _quick_disk(monkeypatch):
    """A killed process, unlike a cut of the power, loses nothing that was written but not flushed to the disk."""
    monkeypatch.setattr(os, "fsync", lambda _handle: None)


def _recover(archive: Path) -> list[Order]:
    """What `recovery.recover` does with orders that the journal knows nothing about; gives those to be resumed."""
    left = left_overs(archive)
    cut_short = {file.origin for one in left if not one.whole for file in one.order.files}
    resumed = []
    for one in left:
        if one.whole and not any(file.origin in cut_short for file in one.order.files):
            resumed.append(one.order)
        else:
            undo(one.order, archive)
    return resumed


def _hidden(archive: Path) -> list[str]:
    return sorted(path.name for path in archive.rglob(".*"))


def _whole_once(found: dict[str, str], before: dict[str, str], resumed: list[Order]) -> bool:
    """Every file is in the inbox as it was, or whole in the folder of a resumed order; not both."""
    in_inbox = {path: digest for path, digest in found.items() if path.startswith("inbox/")}
    in_orders = {digest for order in resumed for digest in (file.sha256 for file in order.files)}
    return set(in_inbox.items()) <= set(before.items()) and set(before.values()) == in_orders | set(in_inbox.values())


@pytest.fixture
def drop_both(drop, make) -> Callable[[], None]:
    """A ZIP of two orders, one of them with a back beside it, and a ticket."""

    def fresh() -> None:
        members = {"a_front.png": b"a", "b_front.png": b"b", "b_back.png": b"bb"}
        drop("a_back.png", **{"week.zip": make.packed(members), "a.toml": b"quantity = 3"})

    return fresh


def _die_at_every_step(fresh, work, check) -> int:
    """Gives how many steps there were; `check` is called after the death before each of them, and after the last."""
    for step in range(1, MOST_STEPS):
        fresh()
        died = is_killed_at(step, work)
        check(step)
        if not died:
            return step - 1
    raise AssertionError(f"more than {MOST_STEPS} steps")


# -- a claim that is cut short -----------------------------------------------------------------------------------------


def _claim_and_check(drop_both, pair, archive, hashes) -> int:
    before: dict[str, str] = {}

    def fresh() -> None:
        drop_both()
        before.update(hashes())

    def check(step: int) -> None:
        resumed = _recover(archive)
        assert _whole_once(hashes(), before, resumed), f"after a death before step {step}"
        assert len(resumed) in (0, 2)  # a bundle is taken whole or not at all
        for order in resumed:
            undo(order, archive)
        assert hashes() == before, f"after a death before step {step}"
        assert _hidden(archive) == [], f"after a death before step {step}"

    return _die_at_every_step(fresh, lambda: claim(bundles(pair())[0], archive, 1), check)


def test_a_claim_killed_at_any_step_loses_and_leaves_nothing(drop_both, pair, archive, hashes):
    assert _claim_and_check(drop_both, pair, archive, hashes) > 20


def test_a_claim_across_devices_killed_at_any_step(drop_both, pair, archive, hashes, two_devices):
    assert _claim_and_check(drop_both, pair, archive, hashes) > 25


def test_a_claim_without_hard_links_killed_at_any_step(drop_both, pair, archive, hashes, monkeypatch):
    def no_links(*_: object) -> None:
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", no_links)
    assert _claim_and_check(drop_both, pair, archive, hashes) > 20


@pytest.mark.parametrize("devices", [1, 2])
def test_putting_back_killed_at_any_step(drop, pair, archive, hashes, devices, request):
    """The recovery itself may be killed; the next one goes on."""
    if devices == 2:
        request.getfixturevalue("two_devices")
    before: dict[str, str] = {}

    def fresh() -> None:
        drop("a_front.png", "a_back.png")
        before.update(hashes())
        claim(pair(), archive, 1)

    def check(step: int) -> None:
        for order in _recover(archive):
            undo(order, archive)
        assert hashes() == before, f"after a death before step {step}"
        assert _hidden(archive) == []

    steps = _die_at_every_step(fresh, lambda: put_back(read_note(note_of(archive, 1)), archive), check)
    assert steps >= 4


def test_dropping_killed_at_any_step_leaves_nothing(drop, pair, archive, inbox):
    """The same art again: its copy goes; killed half way, the rest of it goes back and is dropped the next time."""

    def fresh() -> None:
        drop("a_front.png", "a_back.png")
        claim(pair(), archive, 1)

    def check(_step: int) -> None:
        for order in _recover(archive):
            undo(order, archive)
        assert _hidden(archive) == []

    assert _die_at_every_step(fresh, lambda: drop_taking(archive, 1), check) >= 4


# -- what is found after a stop ----------------------------------------------------------------------------------------


@pytest.fixture
def taken(drop, pair, archive) -> Order:
    drop("a_front.png", "a_back.png")
    (order,) = claim(pair(), archive, 4)
    return order


def test_a_whole_order_is_resumed_as_it_was(taken, archive):
    (left,) = left_overs(archive)
    assert left.whole
    assert left.order == taken


def test_nothing_is_found_where_nothing_was_left(archive):
    assert left_overs(archive) == ()
    assert highest_number(archive) == 0


def test_the_oldest_is_first_by_number(drop, pair, archive):
    for number, name in ((10, "c"), (9, "b"), (100, "a")):
        drop(f"tag/{name}.png")
        claim(pair(), archive, number)
    assert [left.order.number for left in left_overs(archive)] == [9, 10, 100]
    assert highest_number(archive) == 100


def test_an_order_with_a_file_missing_is_not_whole(taken, archive, inbox):
    (taking_folder(archive, 4) / "a_front.png").unlink()
    (left,) = left_overs(archive)
    assert not left.whole
    undo(left.order, archive)
    assert [path.name for path in inbox.iterdir()] == ["a_back.png"]


def test_an_order_whose_folder_has_moved_on_drags_no_other_back(drop, pair, archive, inbox, make):
    """Of two orders of one ZIP the first was delivered, the stop came before its note went: the second is resumed.

    Undoing it would bring the ZIP back to the inbox, and with it the first order, made once already.
    """
    drop(**{"week.zip": make.packed({"a_front.png": b"a", "b_front.png": b"b"})})
    one, two = claim(bundles(pair())[0], archive, 1)
    taking_folder(archive, one.number).rename(archive / "a")
    assert _recover(archive) == [two]
    assert list(inbox.iterdir()) == []
    assert (archive / "a" / "week.zip").exists()


@pytest.mark.parametrize("content", [b"\0\0\0", b"[" * 300_000], ids=["zeros", "brackets"])
def test_a_note_that_cannot_be_read_is_kept_aside_and_its_art_stays(taken, archive, content):
    note_of(archive, 4).write_bytes(content)
    assert left_overs(archive) == ()
    assert (archive / "unreadable-taking-4.json").exists()
    assert (taking_folder(archive, 4) / "a_front.png").exists()
    assert highest_number(archive) == 4  # so that its number is not given again


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_in_the_place_of_a_note_is_not_waited_for(taken, archive):
    note_of(archive, 4).unlink()
    os.mkfifo(note_of(archive, 4))
    assert left_overs(archive) == ()
    assert (taking_folder(archive, 4) / "a_front.png").exists()


def test_a_note_of_another_version_does_not_stop_the_start(taken, archive):
    data = json.loads(note_of(archive, 4).read_bytes()) | {"colour": "blue"}
    note_of(archive, 4).write_text(json.dumps(data))
    assert left_overs(archive) == ()


def test_what_a_move_across_devices_left_is_swept(archive):
    (archive / "..taking-3.gone").mkdir()
    (archive / "..taking-3.gone" / "a.png").write_bytes(b"moved already")
    (archive / "..taking-4.json.part").write_bytes(b"{")
    (archive / "a").mkdir()
    left_overs(archive)
    assert [path.name for path in archive.iterdir()] == ["a"]


def test_forgetting_removes_the_note_of_an_order_that_arrived(taken, archive):
    taking_folder(archive, 4).rename(archive / "a")
    forget_note(archive, 4)
    assert [path.name for path in archive.iterdir()] == ["a"]


def test_forgetting_never_destroys_art(taken, archive, hashes):
    """The journal says "done" but the files are here: it is another journal, restored or mixed up."""
    forget_note(archive, 4)
    assert sorted(hashes()) == ["inbox/a_back.png", "inbox/a_front.png"]
    assert _hidden(archive) == []


def test_a_note_written_before_the_first_file_moved_is_undone(taken, archive, inbox):
    write_note(archive, read_note(note_of(archive, 4)))
    put_back(taken, archive)
    write_note(archive, Order(**{**vars(taken), "files": tuple(_unread(file) for file in taken.files)}))
    assert _recover(archive) == []
    assert sorted(path.name for path in inbox.iterdir()) == ["a_back.png", "a_front.png"]


def _unread(file):
    return type(file)(**{**vars(file), "sha256": ""})
