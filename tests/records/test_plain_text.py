"""Whatever a name contains, what is shown of it is one plain line."""

import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.records.plain_text import hide_places, one_line


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("Frühlingskarte_x50 (1).png", "Frühlingskarte_x50 (1).png"),
        ("春の招待状.png", "春の招待状.png"),
        ("a\nb", r"a\nb"),
        ("a\r\nb", r"a\r\nb"),
        ("a\tb", r"a\tb"),
        ("\x1b[31mred", r"\x1b[31mred"),
        ("\x9b2J", r"\x9b2J"),  # the one-sign form of ESC [ (ECMA-48 5.4)
        ("a\x85b", r"a\x85b"),  # NEL breaks lines too (Unicode Standard 5.8)
        ("a\u2028b\u2029c", r"a\u2028b\u2029c"),
        ("gnp.\u202eexe", r"gnp.\u202eexe"),  # right-to-left override
        ("\u2066a\u2069", r"\u2066a\u2069"),  # bidi isolates (UAX #9)
        ("a\u200bb", r"a\u200bb"),
        ("a\0b", r"a\x00b"),
        ("caf\udce9", r"caf\udce9"),  # a byte that is no UTF-8, as Python shows it (PEP 383)
    ],
)
def test_signs_that_forge_or_hide_are_written_out(name, shown):
    assert one_line(name) == shown


@given(st.text())
def test_nothing_unseen_is_left(text):
    assert not {unicodedata.category(sign) for sign in one_line(text)} & {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}
    assert len(one_line(text).splitlines()) <= 1
    one_line(text).encode("utf-8")


@given(st.text())
def test_showing_twice_changes_nothing(text):
    assert one_line(one_line(text)) == one_line(text)


def test_long_text_is_cut_and_says_so():
    assert one_line("a" * 400) == "a" * 400
    assert one_line("a" * 401) == "a" * 399 + "…"
    assert one_line("abcdef", most=4) == "abc…"


SHOP = Path("/home/anna/My Cards/print-folder")
SHARE = Path("/mnt/big share/outbox")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        (
            "the folder inbox is missing (/home/anna/My Cards/print-folder/inbox). Put",
            "the folder inbox is missing (inbox). Put",
        ),
        ("/home/anna/My Cards/print-folder is full", "print-folder is full"),
        ("nothing can be written in /mnt/big share/outbox. Make", "nothing can be written in …/outbox. Make"),
        ("/mnt/big share is missing. Put", "… is missing. Put"),
        ("/mnt is missing.", "… is missing."),
        ("opening the folder /home/anna/My Cards is not allowed", "opening the folder … is not allowed"),
        (
            "is not run: lp -o a=b /home/anna/bin/print.sh '/opt/x y/z'. It",
            "is not run: lp -o a=b …/print.sh '…/z'. It",
        ),
        (r"C:\Users\anna\back.png cannot be read", "…/back.png cannot be read"),
        ('state = "~/notes"', 'state = "…/notes"'),
        ("ipp://192.168.1.20/ipp/print", "ipp://192.168.1.20/ipp/print"),
        ("5/7 in and front/back, 1/8 in", "5/7 in and front/back, 1/8 in"),
    ],
)
def test_no_folder_above_the_print_folder_is_named(text, shown):
    assert hide_places(text, SHOP, [SHARE, SHOP / "inbox"]) == shown
