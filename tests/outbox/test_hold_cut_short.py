"""`held/ORDER/` on another device, after a kill and with a full disk: here or there, and whole."""

import errno
from pathlib import Path

import pytest

from tests.killed_copy import is_killed_at
from tests.outbox.a_held_order import ART, SINCE, WHY
from watcher.orders.claim import note_of
from watcher.orders.held_note import read_held_note
from watcher.orders.recover import LeftOver, forget_note, left_overs, undo
from watcher.outbox.hold import finish_hold, hold

# -- crashes and trouble -----------------------------------------------------------------------------------------------


def test_it_goes_to_another_device_whole(take, hold_it, contents, two_devices):
    hold_it(take())
    assert sorted(contents()) == [
        "held/spring menu/held.toml",
        "held/spring menu/spring menu_back.png",
        "held/spring menu/spring menu_front.png",
        "held/spring menu/why.txt",
    ]


@pytest.mark.parametrize("devices", [1, 2])
def test_killed_at_any_step_it_is_here_or_there_and_whole(take, folders, contents, devices, pictures, request):
    """Recovered as the service does it: what is whole is made again, with the same end; the rest goes back."""
    if devices == 2:
        request.getfixturevalue("two_devices")

    def hold_it(order):
        archive, held = folders / "archive", folders / "held"
        hold(order, (WHY,), soft=False, archive=archive, held=held, since=SINCE, pictures=pictures)
        forget_note(archive, order.number)

    for step in range(1, 60):
        order = take()
        died = is_killed_at(step, lambda order=order: hold_it(order))
        _is_not_half(folders / "held" / "spring menu")
        for left in left_overs(folders / "archive"):
            _recover(left, folders, hold_it)
        found = contents()
        ours = {picture.name for picture in pictures}
        art = [(Path(path).name, data) for path, data in found.items() if path.endswith(".png")]
        assert sorted(one for one in art if one[0] not in ours) == sorted(ART.items()), f"step {step}"  # each once
        assert not [path for path in found if "/." in path], f"step {step}"
        if not died:
            assert step > 8
            return
        _clear(folders)
    raise AssertionError("it never came to its end")


def _recover(left: LeftOver, folders: Path, hold_it) -> None:
    """As `recovery.recover` does it with an order that the journal knows nothing about."""
    archive = folders / "archive"
    if not left.order.files or finish_hold(left.order, archive=archive, held=folders / "held"):
        forget_note(archive, left.order.number)
    elif left.whole:
        hold_it(left.order)
    else:
        undo(left.order, archive)


def _is_not_half(held: Path) -> None:
    if held.exists():
        assert {name: (held / name).read_bytes() for name in ART} == ART
        assert read_held_note(held) is not None


def test_an_earlier_try_to_hold_it_is_not_taken_for_the_last(take, hold_it, folders):
    """A held order of the same name from another day lies where that note points to."""
    order = take()
    hold_it(take(number=2))
    (folders / "archive/.taking-1/held.toml").write_bytes(b"# another day\n" + _note_of_held(folders))
    assert not finish_hold(order, archive=folders / "archive", held=folders / "held")
    assert (folders / "archive/.taking-1/spring menu_front.png").exists()


def _note_of_held(folders: Path) -> bytes:
    return (folders / "held/spring menu/held.toml").read_bytes()


def _clear(folders: Path) -> None:
    for path in sorted(folders.rglob("*"), reverse=True):
        if path.is_file():
            path.unlink()
        elif path.parent != folders:
            path.rmdir()


def test_a_full_disk_leaves_it_where_it_was(take, hold_it, contents, folders, monkeypatch):
    order = take()
    before = contents()

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OSError, match="full"):
        hold_it(order)
    assert contents() == before
    assert note_of(folders / "archive", 1).exists()
