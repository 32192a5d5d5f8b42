"""Names that are too long, no text, or meant to be something else: the art under them is sound, so it is made."""

import json
import os
import sys
import tomllib
import unicodedata

import pytest

from tests.long_form import LONG
from watcher.outbox.hold import give_back
from watcher.records.plain_text import one_line

UNSAFE = set('<>:"/\\|?*')
NO_NAMES = pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="this system takes no such names")

_ALL_GOOD = {
    "long": b"n" * 251 + b".png",
    "long in Greek": ("λ" * 125 + ".png").encode(),
    "long in emoji": ("\U0001f5a8" * 62 + ".png").encode(),
    "not UTF-8": b"caf\xe9 \xff\xfe menu.png",
    "surrogate as bytes": b"a\xed\xa0\x80b.png",
    "newline": b"tea\n2026-01-01 00:00:00  forged: made\nshop.png",
    "screen control": b"tea\x1b[2J\x1b[31mred\x07\x08\x7f.png",
    "right to left": "tea\u202egnp.exe\u2066.png".encode(),
    "invisible": "t\u200be\u200ca\ufeff.png".encode(),
    "script": b"<script>alert(1)<script>.png",
    "entity": b"&lt;b&gt;\"'.png",
    "braces": b"{x} {0} {self.__class__} %s %n {.png",
    "shell": b"$(touch x) `id` ; rm -rf ~ & | #.png",
    "option": b"-rf.png",
    "long option": b"--help --settings x.png",
    "dashes and dots": b"-. .-. -.png",
    "device": b"NUL.png",
    "device with ending": b"con.aux.png",
    "port": b"COM1 .png",
    "trailing": b"menu . . .png",
    "percent": b"%2e%2e%2fup.png",
    "backslash": b"a\\..\\..\\up.png",
    "drive": b"C:\\up.png",
    "star": b"what? * a|b.png",
    "combining": ("z" + "\u0334" * 120 + ".png").encode(),
    "kelvin": "\u212a\u2126.png".encode(),
    "toml": b'a"""\n[x]\ny = 1 #.png',
    "only accents": "\u0301\u0302.png".encode(),
    "bidi letters": "\u05d0\u05d1 \u0627\u0628.png".encode(),
    "formula": b"=1+1;@SUM(A1).png",
    "own names": b"common-front.png",
    "reason": b"why.txt.png",
}


# The short setting tries what hurts most and a sixth of the rest.
_ALWAYS = (
    "long in emoji",
    "not UTF-8",
    "newline",
    "screen control",
    "right to left",
    "script",
    "braces",
    "option",
    "device",
)
_REST = [name for name in _ALL_GOOD if name not in _ALWAYS]
GOOD_NAMES = [_ALL_GOOD[name] for name in (*_ALWAYS, *(_REST if LONG else _REST[::6]))]


@NO_NAMES
def test_sound_art_under_hostile_names_is_made_and_shown_safely(shop, drawn):
    for number, name in enumerate(GOOD_NAMES):
        shop.drop(name, drawn(f"#{number * 7:02x}80c0"))
    ran = shop.run()
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert len(shop.made()) == len(GOOD_NAMES)
    shop.assert_nothing_lost()
    shop.assert_no_temporaries()
    _assert_names_are_safe(shop)
    _assert_texts_are_safe(shop, ran.out)
    _assert_every_record_is_there(shop)
    code, said, complained = shop.status()
    assert (code, complained) == (0, "")
    _assert_plain(said)


def _assert_names_are_safe(shop):
    for path in [*(shop.folder / "outbox").rglob("*"), *(shop.folder / "archive").iterdir()]:
        name = path.name
        assert len(os.fsencode(name)) <= 255
        assert not UNSAFE & set(name), name
        assert all(unicodedata.category(sign) not in {"Cc", "Cf", "Cs", "Zl", "Zp"} for sign in name), repr(name)
        assert not name.startswith(("-", ".", " ")), name
        assert not name.endswith((".", " ")), name


def _assert_plain(text):
    assert all(line == one_line(line, 10_000) for line in text.split("\n")), text


def _assert_texts_are_safe(shop, said):
    log = (shop.folder / "outbox/log.txt").read_text("utf-8")
    assert log.count("\n") == len(GOOD_NAMES)
    for text in (said, log):
        _assert_plain(text)
    for ticket in (shop.folder / "outbox").rglob("*_ticket.toml"):
        assert tomllib.loads(ticket.read_text("utf-8"))["order"] == ticket.parent.name


def _assert_every_record_is_there(shop):
    lines = (shop.folder / "state/service.log").read_text("utf-8").splitlines()
    messages = [json.loads(line)["record"]["message"] for line in lines]
    assert sum(": made: " in message for message in messages) == len(GOOD_NAMES)
    assert messages == [one_line(message, 10_000) for message in messages]


BAD_NAMES = {
    b"x" * 250 + b".tiff": ("not a picture",),
    b"tea\n\x1b[2J2026-01-01 forged.exe": ("tea\\n\\x1b[2j", "not a kind of file"),
    b"caf\xe9\xff.pdf": ("caf\\udce9\\udcff",),
    "\u202efdp.exe".encode(): ("\\u202e", "not a kind of file"),
    b"<img src=x onerror=alert(1)>.svg": ("not a kind of file",),
    b"{x}{0!r:>9}.heic": ("{x}", "not a kind of file"),
    b"menu (conflicted copy 2026-01-01).png": ("sync program",),
    b"menu.sync-conflict-20260101-101112-ABCDEFG.png": ("sync program",),
    b"menu_x0.png": ("a quantity is 1 to 1,000,000",),
    b"menu_x1000000000000.png": ("a quantity is 1 to 1,000,000",),
    b"menu_x" + b"9" * 200 + b".png": ("a quantity is 1 to 1,000,000",),
    b"_front.png": ("no order",),
    b"noending": ("not a kind of file",),
    b"held.toml": ("held.toml",),
    b"why.txt": ("why.txt", "not a kind of file"),
}


@pytest.fixture(scope="module")
def outcome(run_over, bad):
    return run_over(bad(name=name, data=b"bytes of %b" % name) for name in BAD_NAMES)


@NO_NAMES
@pytest.mark.parametrize("name", BAD_NAMES)
def test_it_is_held_with_its_true_reason(outcome, bad, name):
    assert outcome.shop.wrong_with(bad(name=name, data=b"bytes of %b" % name), BAD_NAMES[name]) is None


@NO_NAMES
def test_bad_files_under_hostile_names_are_shown_safely(outcome):
    outcome.assert_promises()
    _assert_plain(outcome.ran.out)
    for why in (outcome.shop.folder / "held").rglob("why.txt"):
        _assert_plain(why.read_text("utf-8"))
    _, said, complained = outcome.shop.status()
    assert complained == ""
    _assert_plain(said)


@NO_NAMES
def test_what_cannot_be_written_out_longer_still_goes_back_and_forth(print_folder, once):
    """A name of 255 bytes is held, given back and held again; and once more beside its own held folder."""
    file = print_folder / "inbox" / os.fsdecode(b"n" * 246 + b"_front.jp")
    held = print_folder / "held"
    file.write_bytes(b"no picture")
    once(print_folder)
    (folder,) = held.iterdir()
    give_back(folder.name, held=held, inbox=print_folder / "inbox", accepted=False)
    once(print_folder)
    file.write_bytes(b"no picture!")
    once(print_folder)
    assert {path.read_bytes() for path in held.rglob("*.jp")} == {b"no picture", b"no picture!"}
    assert not list((print_folder / "archive").iterdir())
