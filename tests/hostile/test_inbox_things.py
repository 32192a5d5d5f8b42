"""What lies in an inbox and is no art: links, pipes, sockets, folders, files that may not be read or are too large."""

import os
import shutil
import socket
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="links, pipes and sockets in folders are of Unix")


def listing(folder):
    """Everything in a folder by name, kind, size and, for links, where they point."""
    return sorted(
        (str(path.relative_to(folder)), path.lstat().st_mode, str(path.readlink()) if path.is_symlink() else "")
        for path in folder.rglob("*")
    )


@pytest.fixture(scope="module")
def socket_at():
    """A socket at a place in the file system, for as long as the tests run."""
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


SECRET = b"somebody's own file"
HUGE = (("huge.png", b"\x89PNG\r\n\x1a\n"), ("huge.jpg", b"\xff\xd8\xff\xe0"), ("huge.bin", b""))
CONFLICTS = (  # source of the names: what sync programs call them in public (from memory)
    "lantern_front (conflicted copy 2026-01-01).png",
    "lantern_back (Anna's conflicted copy 2026-01-01).png",
    "lantern_front.sync-conflict-20260101-101112-ABCDEFG.png",
    "lantern_back-conflict-20260101-101112.png",
    "lantern_front (Case Conflict).png",
)
ON_ITS_WAY = (
    ".hidden.png",
    "~lock.png",
    "a.png.part",
    "b.png.crdownload",
    "c.icloud",
    ".d.png.icloud",
    "e.tmp",
    "f.png~",
)


def put_strange_things(inbox, secret, socket_at):
    """Links, pipes, sockets, folders, and files far too large to be read."""
    (inbox / "tag").mkdir(exist_ok=True)
    (inbox / "link_front.png").symlink_to(secret)
    (inbox / "tag/link.png").symlink_to("/etc/passwd")
    (inbox / "nowhere.png").symlink_to("nowhere")
    (inbox / "itself.png").symlink_to("itself.png")
    (inbox / "linked-folder").symlink_to(secret.parent)
    (inbox / "hello.toml").symlink_to("/dev/zero")
    os.mkfifo(inbox / "pipe_front.png")
    os.mkfifo(inbox / "tag/pipe.zip")
    socket_at(inbox / "socket.pdf")
    (inbox / "folder_front.png").mkdir()
    (inbox / "folder_front.png/letter.txt").write_bytes(b"x")
    (inbox / "folder.zip").mkdir()
    (inbox / "tag/deeper/deepest").mkdir(parents=True)
    (inbox / "a/b/c/d").mkdir(parents=True)
    for name, start in HUGE:
        with (inbox / name).open("wb") as file:  # of nothing: it would take minutes to read them all the same
            file.write(start)
            file.truncate(100 * 10**9)


def put_what_is_on_its_way(shop):
    """Names of temporary files and placeholders, and space laid out and not yet filled."""
    for name in ON_ITS_WAY:
        shop.drop(name, b"something of it")
    with shop.drop("g.png", b"").open("r+b") as file:
        file.truncate(50_000_000)


@pytest.fixture(scope="module")
def looked(run_over, bad, drawn, socket_at, tmp_path_factory):
    """One run over all of it; gives the shop, how the run ended, and what `status` says then."""
    secret = tmp_path_factory.mktemp("outside") / "outside_front.png"
    secret.write_bytes(SECRET)
    copies = [bad(name=name, data=drawn(f"#60{number}080")) for number, name in enumerate(CONFLICTS)]
    seen = SimpleNamespace(secret=secret, copies=copies)

    def put(shop):
        put_strange_things(shop.folder / "inbox", secret, socket_at)
        put_what_is_on_its_way(shop)
        seen.before = listing(shop.folder / "inbox")
        for copy in copies:
            shop.drop(copy.name, copy.data, card="")
        with shop.drop("large.png", b"").open("r+b") as file:
            file.write(b"\x89PNG\r\n\x1a\n\0\0\0\0IEND\xae\x42\x60\x82")  # whole, as far as its walk goes
            file.truncate(501_000_000)
        settings = shop.folder / "settings.toml"
        settings.write_text(settings.read_text().replace('give_up = "0 s"', 'give_up = "10 min"'))

    outcome = run_over([], put)
    seen.shop, seen.ran = outcome.shop, outcome.ran
    seen.status = " ".join(outcome.shop.status()[1].split())
    return seen


def test_the_order_beside_it_is_made_and_nothing_else_is_touched(looked):
    """Nothing is followed, opened or moved."""
    assert (looked.ran.code, looked.ran.err) == (1, "")
    assert looked.shop.made() == {"lantern"}
    assert listing(looked.shop.folder / "inbox") == looked.before
    assert looked.secret.read_bytes() == SECRET


def test_what_is_no_ordinary_file_or_far_too_large_is_shown(looked):
    links = ("link_front.png", "nowhere.png", "itself.png", "linked-folder", "hello.toml", "pipe_front.png")
    for name in (*links, "link.png", "pipe.zip", "socket.pdf"):
        assert f"{name}: a link, a device or a folder that may not be read" in looked.status
    for name, _ in HUGE:
        assert f"{name}: is 100,000 MB; 2,000 MB is the most; export it smaller" in looked.status
    assert "folder_front.png: a folder that is no card's" in looked.status
    assert "folder.zip: an empty folder" in looked.status
    assert "a: there is a folder or a link in it (b)" in looked.status


def test_a_file_that_is_too_large_is_held_unopened(looked):
    assert "large.png is 501 MB; 500 MB is the most" in (looked.shop.folder / "held/large/why.txt").read_text()
    assert looked.ran.peak < 300e6


def test_conflict_copies_are_held_and_never_paired(looked):
    wrong = [looked.shop.wrong_with(copy, ("sync program", copy.name)) for copy in looked.copies]
    assert wrong == [None] * len(looked.copies)


def test_what_is_still_being_fetched_or_written_waits(looked):
    assert "g.png: still arriving" in looked.ran.out
    assert {*ON_ITS_WAY, "g.png"} <= {path.name for path in (looked.shop.folder / "inbox/tag").iterdir()}


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
    assert "closed.png: may not be read; give the program the right to read it" in status
    assert "closed-folder: a link, a device or a folder that may not be read" in status
