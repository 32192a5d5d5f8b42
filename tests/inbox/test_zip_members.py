"""The members of a ZIP are named for people, and read only where they pass every check."""

import zipfile

import pytest

from watcher.errors import ArtUnreadable
from watcher.inbox import zip_members
from watcher.inbox.zip_members import first_bytes, member_name, read_each, read_member, usable_members


def test_folders_hidden_files_and_what_systems_add_are_passed_over(make_zip):
    path = make_zip(("art/", b""), ("art/front.png", b"a"), ("__MACOSX/art/._front.png", b"b"), ("art/.hidden", b"c"))
    assert [entry.filename for entry in usable_members(path)] == ["art/front.png"]


def test_the_first_bytes_of_a_member_come_with_its_whole_size(make_zip):
    path = make_zip(("front.png", b"abcdef"), ("inner.zip", b"x"))
    assert first_bytes(path, "front.png", 4) == (6, b"abcd")
    for name in ("inner.zip", "back.png"):
        with pytest.raises(ArtUnreadable):
            first_bytes(path, name, 4)


@pytest.mark.parametrize("stored_as", ["front.png", "art/front.png", "art\\front.png", "./art//front.png"])
def test_a_member_is_named_without_its_folders(stored_as):
    entry = zipfile.ZipInfo("x")
    entry.filename = stored_as
    assert member_name(entry) == "front.png"


def test_members_are_read_in_the_order_asked_for_from_one_opening(make_zip, monkeypatch):
    path = make_zip(("front.png", b"a"), ("back.png", b"b"), ("more.png", b"c"))
    _, back, more = usable_members(path)
    monkeypatch.setattr(zip_members, "_opened", opened := Counted(zip_members._opened))
    assert [(entry.filename, data) for entry, data in read_each(path, [more, back])] == [
        ("more.png", b"c"),
        ("back.png", b"b"),
    ]
    assert opened.times == 1


class Counted:
    """Calls something and counts how often."""

    def __init__(self, what) -> None:
        self.what, self.times = what, 0

    def __call__(self, *values):
        self.times += 1
        return self.what(*values)


def test_what_is_refused_in_the_list_is_refused_when_it_is_read_by_name(make_zip, link_info):
    path = make_zip((link_info, b"/etc/passwd"), ("inner.zip", b"x"), ("back.png", b"b"))
    assert read_member(path, "back.png") == b"b"
    with pytest.raises(ArtUnreadable, match="a link instead of a file"):
        read_member(path, "front.png")
    with pytest.raises(ArtUnreadable, match="another ZIP"):
        read_member(path, "inner.zip")


def test_a_job_ticket_of_more_than_a_few_lines_is_refused(make_zip):
    most = zip_members.MOST_TICKET_BYTES
    assert usable_members(make_zip(("spring.toml", b"#" * most)))
    with pytest.raises(ArtUnreadable, match=r"holds the job ticket spring\.toml of 65,537 bytes; 65,536 is the most"):
        usable_members(make_zip(("spring.toml", b"#" * (most + 1))))
