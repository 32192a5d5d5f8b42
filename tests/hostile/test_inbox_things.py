"""What lies in an inbox and is no art: links, pipes, sockets, folders, files that may not be read or are too large."""

import os
import shutil
import socket
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="links, pipes and sockets in folders are of Unix")


def listing(folder):
    """Everything in a folder by name, kind, size and, for links, where they point."""
    return sorted(
        (str(path.relative_to(folder)), path.lstat().st_mode, str(path.readlink()) if path.is_symlink() else "")
        for path in folder.rglob("*")
    )


@pytest.fixture
def socket_at():
    """A socket at a place in the file system, for as long as the test runs."""
    opened = []

    def bind(path: Path) -> None:
        opened.append(socket.socket(socket.AF_UNIX))
        here = Path.cwd()
        os.chdir(path.parent)  # the name of a socket is short (unix(7))
        opened[-1].bind(path.name)
        os.chdir(here)

    yield bind
    for one in opened:
        one.close()


def test_what_is_no_ordinary_file_or_far_too_large_is_left_alone_and_shown(shop, socket_at, tmp_path):
    """Nothing is followed, opened or moved, and the orders beside it are made."""
    inbox = shop.folder / "inbox"
    (inbox / "tag").mkdir()
    secret = tmp_path / "outside_front.png"
    secret.write_bytes(b"somebody's own file")
    (inbox / "link_front.png").symlink_to(secret)
    (inbox / "tag/link.png").symlink_to("/etc/passwd")
    (inbox / "nowhere.png").symlink_to("nowhere")
    (inbox / "itself.png").symlink_to("itself.png")
    (inbox / "linked-folder").symlink_to(tmp_path)
    (inbox / "hello.toml").symlink_to("/dev/zero")
    os.mkfifo(inbox / "pipe_front.png")
    os.mkfifo(inbox / "tag/pipe.zip")
    socket_at(inbox / "socket.pdf")
    (inbox / "folder_front.png").mkdir()
    (inbox / "folder_front.png/1.png").write_bytes(b"x")
    (inbox / "folder.zip").mkdir()
    (inbox / "tag/deeper/deepest").mkdir(parents=True)
    (inbox / "a/b/c/d").mkdir(parents=True)
    for name, start in (("huge.png", b"\x89PNG\r\n\x1a\n"), ("huge.jpg", b"\xff\xd8\xff\xe0"), ("huge.bin", b"")):
        with (inbox / name).open("wb") as file:  # of nothing: it would take minutes to read them all the same
            file.write(start)
            file.truncate(100 * 10**9)
    before = listing(inbox)
    shop.drop_good_pair()
    ran = shop.run(limit_s=60)
    assert (ran.code, ran.err) == (0, "")
    assert shop.made() == {"lantern"}
    assert listing(inbox) == before
    assert secret.read_bytes() == b"somebody's own file"
    status = " ".join(shop.run("status").out.split())
    for name in ("link_front.png", "nowhere.png", "itself.png", "linked-folder", "hello.toml", "pipe_front.png"):
        assert f"{name}: a link, a device or a folder that may not be read" in status
    for name in ("link.png", "pipe.zip", "socket.pdf"):
        assert f"{name}: a link, a device or a folder that may not be read" in status
    for name in ("huge.png", "huge.jpg", "huge.bin"):
        assert f"{name}: is 100,000 MB; 2,000 MB is the most; export it smaller" in status
    for name in ("folder_front.png", "folder.zip", "a"):
        assert f"{name}: a folder that is no card's" in status


def test_a_file_that_is_too_large_is_held_unopened(shop):
    with shop.drop("large.png", b"").open("r+b") as file:
        file.write(b"\x89PNG\r\n\x1a\n\0\0\0\0IEND\xae\x42\x60\x82")  # whole, as far as its walk goes
        file.truncate(501_000_000)
    shop.dropped.clear()
    shop.drop_good_pair()
    ran = shop.run()
    assert (ran.code, ran.err) == (1, "")
    assert shop.made() == {"lantern"}
    assert "large.png is 501 MB; 500 MB is the most" in (shop.folder / "held/large/why.txt").read_text()
    assert ran.peak < 300e6


def test_conflict_copies_are_held_and_never_paired(shop, bad, drawn):
    """Source of the names: what sync programs call them in public (from memory)."""
    names = [
        "lantern_front (conflicted copy 2026-01-01).png",
        "lantern_back (Anna's conflicted copy 2026-01-01).png",
        "lantern_front.sync-conflict-20260101-101112-ABCDEFG.png",
        "lantern_back-conflict-20260101-101112.png",
        "lantern_front (Case Conflict).png",
    ]
    copies = [bad(name=name, data=drawn(f"#60{number}080")) for number, name in enumerate(names)]
    for copy in copies:
        shop.drop(copy.name, copy.data, card="")
    shop.drop_good_pair()
    ran = shop.run()
    assert (ran.code, ran.err) == (1, "")
    assert [shop.wrong_with(copy, ("sync program", copy.name)) for copy in copies] == [None] * len(copies)
    assert shop.made() == {"lantern"}
    shop.assert_nothing_lost()


def test_what_is_still_being_fetched_or_written_is_left_alone(shop):
    """Names of temporary files and placeholders, and space laid out and not yet filled."""
    names = [
        ".hidden.png",
        "~lock.png",
        "a.png.part",
        "b.png.crdownload",
        "c.icloud",
        ".d.png.icloud",
        "e.tmp",
        "f.png~",
    ]
    for name in names:
        shop.drop(name, b"something of it")
    with shop.drop("g.png", b"").open("r+b") as file:
        file.truncate(50_000_000)
    settings = shop.folder / "settings.toml"
    settings.write_text(settings.read_text().replace('give_up = "0 s"', 'give_up = "10 min"'))
    shop.drop_good_pair()
    ran = shop.run()
    assert (ran.code, ran.err) == (1, "")
    assert "g.png: still arriving" in ran.out
    assert shop.made() == {"lantern"}
    assert len(list((shop.folder / "inbox/tag").iterdir())) == len(names) + 1


def _as_an_ordinary_user():
    """Starts a command without root's right to read and write whatever the modes say (capabilities(7))."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        return ()
    return "setpriv", "--bounding-set=-dac_override,-dac_read_search"


@pytest.mark.skipif(shutil.which("setpriv") is None, reason="setpriv (util-linux) is not installed")
def test_a_file_that_may_not_be_read_is_left_alone_and_shown(shop):
    """Everything else is made."""
    shop.drop("closed.png", b"not for everybody").chmod(0)
    (shop.folder / "inbox/closed-folder").mkdir(mode=0)
    shop.drop_good_pair()
    try:
        ran = shop.run(through=_as_an_ordinary_user())
        status = " ".join(shop.run("status", through=_as_an_ordinary_user()).out.split())
    finally:
        (shop.folder / "inbox/tag/closed.png").chmod(0o644)
        (shop.folder / "inbox/closed-folder").chmod(0o755)
    assert ran.err == ""
    assert shop.made() == {"lantern"}
    shop.assert_nothing_lost()
    assert "closed.png: may not be read; give the service the right to read it" in status
    assert "closed-folder: a link, a device or a folder that may not be read" in status
