"""An order's name as a folder's name."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.inbox.tidy import tidy_order_name


@pytest.mark.parametrize(
    ("written", "folder"),
    [
        ("lantern-walk", "lantern-walk"),
        ("Tischkärtchen Nr. 5", "Tischkärtchen Nr. 5"),
        ('a<b>c:d"e/f\\g|h?i*j', "abcdefghij"),
        ("../../etc", "etc"),
        ("-rf", "rf"),
        (" .hidden", "hidden"),
        ("menu. . ", "menu"),
        ("a\nb\tc\x1b[31m", "abc[31m"),
        ("menu\u202egnp", "menugnp"),
        ("a\u2028b", "ab"),
        ("Cafe\u0301", "Caf\u00e9"),
        ("\udcff", "order"),
        ("...", "order"),
        ("", "order"),
        ("CON", "CON_"),
        ("nul.front", "nul_.front"),
        ("Com1", "Com1_"),
        ("LPT\u00b9", "LPT\u00b9_"),
        ("console", "console"),
        ("COM10", "COM10"),
    ],
)
def test_the_orders_folder_is_named_as_written_less_what_no_file_system_takes(written, folder):
    """Reserved names and signs: the naming rules that Windows publishes (from memory)."""
    assert tidy_order_name(written) == folder


def test_a_long_name_is_cut_between_two_letters():
    assert tidy_order_name("é" * 300) == "é" * 90
    assert tidy_order_name("x" * 179 + "é") == "x" * 179
    assert tidy_order_name("a" * 178 + "q\u0307\u0323") == "a" * 178  # no letter loses its accents


_UNSAFE = set('<>:"/\\|?*')


@given(st.text(max_size=300) | st.text(st.sampled_from(". -_aCONul1:\u0301\u200d"), max_size=200))
def test_the_folders_name_is_always_safe(written):
    name = tidy_order_name(written)
    assert 1 <= len(name.encode()) <= 180
    assert unicodedata.is_normalized("NFC", name)
    assert not _UNSAFE & set(name)
    assert not any(unicodedata.category(sign) in {"Cc", "Cf", "Cs", "Zl", "Zp"} for sign in name)
    assert name[0] not in ".- "
    assert name[-1] not in ". "
    assert tidy_order_name(name) == name
