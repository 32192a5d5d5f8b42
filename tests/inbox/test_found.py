"""What a find is called for people, and what its name and place make of it."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from watcher.inbox.found import Folder, Found
from watcher.inbox.inside import Member
from watcher.inbox.names import read_name
from watcher.inbox.scan import Identity, SeenFile

WORDS = SimpleNamespace(front=("front",), back=("back",))
FOLDER = Folder(path=Path("inbox/week"), name="week", arrived_ns=0)
MEMBER = Member(name="1.png", stored_as="set/1.png", size=1, sha256="ab", pages=None)


def found(name="1.png", **more):
    identity = Identity(device=1, inode=1, size=1, mtime_ns=0, ctime_ns=0)
    file = SeenFile(path=Path("inbox") / name, folder=None, name=name, identity=identity)
    return Found(file=file, parts=read_name(name, WORDS), **more)


@pytest.mark.parametrize(
    ("find", "shown"),
    [
        (found(), "1.png"),
        (found(container=FOLDER), "1.png in week"),
        (found("week.zip", member=MEMBER), "1.png in week.zip"),
        (found("again week", container=FOLDER, text=b'repeat = "week"'), "again week"),
    ],
)
def test_it_is_shown_with_what_it_lies_in(find, shown):
    assert find.shown == shown


@pytest.mark.parametrize(
    ("find", "is_numbered"),
    [(found(), False), (found(container=FOLDER), True), (found("menu.png", container=FOLDER), False)],
)
def test_a_number_alone_counts_in_a_folder_or_a_zip(find, is_numbered):
    assert find.is_numbered is is_numbered
