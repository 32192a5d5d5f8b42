"""What a system lacks is said in one sentence, and nothing where it lacks nothing."""

import pytest

from watcher.work.walls import missing
from watcher.work.walls.missing import missing_walls


@pytest.fixture
def whole(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    """A system that has all walls."""
    monkeypatch.setattr(missing.sys, "platform", "linux")
    monkeypatch.setattr(missing, "landlock_version", lambda: 4)
    monkeypatch.setattr(missing, "processor_here", lambda: "x86_64")
    return monkeypatch


def test_a_system_with_all_walls_has_nothing_to_say(whole):
    assert missing_walls() is None


@pytest.mark.parametrize(
    ("part", "without", "said"),
    [
        ("landlock_version", 0, "the rest of the disk is not closed to them (Landlock: Linux 5.13 or newer"),
        ("processor_here", None, "what they may ask of the system is not limited (seccomp"),
    ],
)
def test_what_is_missing_is_named(whole, part, without, said):
    whole.setattr(missing, part, lambda: without)
    assert said in str(missing_walls())


def test_other_systems_say_that_they_have_none(whole):
    whole.setattr(missing.sys, "platform", "win32")
    assert str(missing_walls()).startswith("Files are opened without walls around them")
