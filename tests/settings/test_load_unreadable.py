"""A settings file that is not there, is no text or is no TOML: what is said, and what is taken all the same."""

import os

import pytest

from watcher.errors import SettingsRefused
from watcher.settings.load import load_settings


def test_file_with_a_byte_order_mark(load, least):
    assert "invitation" in load(least.encode("utf-8-sig")).cards


def test_file_with_windows_line_ends(load, least):
    assert "invitation" in load(least.replace("\n", "\r\n")).cards


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (
            '\n[folders]\ninbox = "C:\\Users\\anna"',
            'line 3 cannot be read: inbox = "C:\\Users\\anna"; write a Windows path in single',
        ),
        ("\ntrim = 5 x 7 in", 'line 2 cannot be read: trim = 5 x 7 in; text must stand in quotes: "5 x 7 in"'),
        ('trim = "5 x 7 in', 'line 1 cannot be read: trim = "5 x 7 in; a closing quote is missing'),
        ("[a]\n[b]\n[a]", "line 3 cannot be read: [a]; this name stands in the file twice"),
        ("x = 1\nx = 2", "line 2 cannot be read: x = 2; this name stands in the file twice"),
        ("[cards", "line 1 cannot be read: [cards; write a heading as [cards.invitation]"),
        ("hello", 'line 1 cannot be read: hello; write key = "text"'),
        ("x = " + "9" * 5000, "holds a number or list that is far too long"),
        ("x = " + "[" * 50_000, "holds a number or list that is far too long"),
        ("a" + ".a" * 50_000 + " = 1", "holds a name with thousands of dots"),
        ("x = 1 # " + "a" * 1_000_000, "is larger than 1,000,000 bytes"),
        ("grün = 1".encode("utf-16"), "cannot be read as text; save it as UTF-8"),
        ("# grün".encode("latin-1"), "cannot be read as text; save it as UTF-8"),
    ],
    ids=range(13),
)
def test_file_that_cannot_be_read(faults_in, text, fault):
    found = faults_in(text)

    assert len(found) == 1
    assert found[0].startswith(fault)
    assert "\n" not in found[0]


def test_windows_path_in_single_quotes_is_taken(load, least):
    assert load(f"{least}\n[folders]\nstate = 'C:\\Users\\anna'").folders.state.name.endswith("anna")


def test_file_that_is_not_there_tells_the_way_out(tmp_path):
    with pytest.raises(SettingsRefused, match="there is no such file in .*print-folder init DIR"):
        load_settings(tmp_path / "settings.toml")


def test_folder_instead_of_a_file(tmp_path):
    with pytest.raises(SettingsRefused, match="is a folder; name the settings file in it"):
        load_settings(tmp_path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_pipe_instead_of_a_file_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "settings.toml")
    with pytest.raises(SettingsRefused, match="is a pipe and no file"):
        load_settings(tmp_path / "settings.toml")


@pytest.mark.parametrize(
    ("line", "remedy"),
    [
        ("trim = “5 x 7 in”", 'these are the quotes of a text program; write straight ones: trim = "5 x 7 in"'),
        ("trim = „5 x 7 in“  # card", 'write straight ones: trim = "5 x 7 in"'),
        ("front = [«recto», «front»]", 'write straight ones: front = ["recto", "front"]'),
        ("turn = 0,5", "write a point, not a comma, before the decimals: turn = 0.5"),
        ("sides\N{NO-BREAK SPACE}= 2", "it has a no-break space in it"),
    ],
)
def test_a_line_that_is_no_toml_is_answered_for_the_mistake_made(faults_in, line, remedy):
    (fault,) = faults_in(f"[cards.invitation]\n{line}\n")

    assert fault.startswith("line 2 cannot be read: ")
    assert remedy in fault
