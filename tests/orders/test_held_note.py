"""`held.toml` brings back what was written, and believes nobody else."""

import os
import time
import tomllib
import unicodedata

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from watcher.disk import is_bare_name
from watcher.orders.held_note import FILE_NAME, HeldFile, HeldNote, as_reason, read_held_note, to_toml
from watcher.terms import Finding, Level, Side

NOTE = HeldNote(
    order="spring menu",
    key="spring menu",
    card="menu",
    inbox_folder="menu",
    folder="spring menu",
    missing="",
    soft=True,
    since="2026-05-01T10:11:12+02:00",
    why="1.png is 150 ppi.",
    files=(
        HeldFile(name="spring menu.zip", sha256="ab" * 32, members=("1.png", "2.png")),
        HeldFile(name="spring menu.toml", sha256="cd" * 32),
    ),
    reasons=(
        Finding(level=Level.HOLD, code="low-resolution", message="1.png is 150 ppi.", side=Side.FRONT),
        Finding(level=Level.HOLD, code="sides-differ", message="The sides have different shapes."),
    ),
)

# File names as Linux has them: any bytes but NUL and the slash, as Python shows them (PEP 383); no folder's own names.
NAMES = (
    st.binary(min_size=1, max_size=60)
    .filter(lambda raw: raw not in (b".", b"..") and not {0, 47} & set(raw))
    .map(os.fsdecode)
)


def _changed(**values: object) -> HeldNote:
    return HeldNote(**{**vars(NOTE), **values})


def _read(folder, text: bytes) -> HeldNote | None:
    (folder / FILE_NAME).write_bytes(text)
    return read_held_note(folder)


def test_what_was_written_is_read(tmp_path):
    assert _read(tmp_path, to_toml(NOTE)) == NOTE


def test_it_is_toml_and_says_what_to_do():
    text = to_toml(NOTE).decode()
    assert text.startswith("# Set aside by the print folder. Move this folder back into the inbox to try again")
    assert tomllib.loads(text)["files"][0]["members"] == ["1.png", "2.png"]


@given(name=NAMES, member=NAMES)
def test_names_of_any_bytes_come_back(tmp_path_factory, name, member):
    folder = tmp_path_factory.mktemp("held")
    note = _changed(order=name, files=(HeldFile(name=name, sha256="00", members=(member,)),))
    back = _read(folder, to_toml(note))
    assert back is not None
    assert (back.order, back.files) == (note.order, note.files)


@pytest.mark.parametrize("name", ["", ".", "..", "../front.png", "/etc/hostname"])
def test_a_file_of_another_folder_is_in_no_note_of_ours(tmp_path, name):
    assert _read(tmp_path, to_toml(_changed(files=(HeldFile(name=name, sha256="00"),)))) is None


@pytest.mark.parametrize("name", ['a"b', "a\nb", "a\\b", "a\tb", "a\x7fb", "a\x1bb", "a\r\nb", "'''", '"""', "\udcff"])
def test_awkward_names_come_back(tmp_path, name):
    note = _changed(files=(HeldFile(name=name, sha256="00"),))
    assert _read(tmp_path, to_toml(note)) == note


@pytest.mark.parametrize("name", ["spring menu ok", "Spring Menu OK", "SPRING MENU Ok"])
def test_the_folders_name_with_ok_accepts(name):
    assert NOTE.is_accepted_as(name)


@pytest.mark.parametrize("name", ["spring menu", "spring menuok", "not ok", "other ok", "spring menu ok ok"])
def test_any_other_name_does_not(name):
    assert not NOTE.is_accepted_as(name)


def test_ok_counts_in_any_composition_of_accents():
    """A sync program on another system may take the accents apart."""
    note = _changed(folder=unicodedata.normalize("NFC", "Fête"))
    assert note.is_accepted_as(unicodedata.normalize("NFD", "fête") + " OK")


# -- notes from anywhere -----------------------------------------------------------------------------------------------


def test_no_note_is_none(tmp_path):
    assert read_held_note(tmp_path) is None


def test_a_note_cut_anywhere_is_none_yet(tmp_path):
    """A slow sync brings it piece by piece; a note that tells of fewer files would let half an order through."""
    whole = to_toml(NOTE)
    assert whole.endswith(b'"\n')
    assert all(_read(tmp_path, whole[:length]) is None for length in range(len(whole) - 1))


def test_a_link_is_none(tmp_path):
    (tmp_path / "note").write_bytes(to_toml(NOTE))
    (tmp_path / FILE_NAME).symlink_to(tmp_path / "note")
    assert read_held_note(tmp_path) is None


def test_a_note_of_a_later_version_with_more_keys_is_read(tmp_path):
    head, _, rest = to_toml(NOTE).partition(b"\n")
    assert _read(tmp_path, head + b'\ncolour = "blue"\n' + rest) == NOTE


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("inbox_folder", "5"),
        ("folder", "5"),
        ("folder", '""'),
        ("folder", '".."'),
        ("folder", '"../../etc"'),
        ("folder", '"a/b"'),
        ("folder", r'"a\u0000b"'),
        ("key", "[]"),
        ("missing", '"side"'),
        ("soft", '"yes"'),
        ("count", "2"),
        ("why", "2026-05-01"),
        ("reasons", '["a"]'),
        ("reasons", '[{level = "grave", code = "x", message = "x"}]'),
        ("reasons", '[{level = "hold", code = 5, message = "x"}]'),
        ("reasons", '[{level = "hold", code = "x"}]'),
        ("reasons", '[{level = "hold", code = "x", message = "x", side = "edge"}]'),
        ("files", '["a"]'),
        ("files", '[{name = 1, sha256 = ""}]'),
        ("files", '[{name = "a", sha256 = "", members = [1]}]'),
        ("files", '[{name = "a", sha256 = "", members = 1}]'),
    ],
)
def test_a_note_that_was_tampered_with_is_none(tmp_path, key, value):
    rows = {name: _toml(one) for name, one in vars(NOTE).items() if name != "reasons"} | {"count": "1"}
    assert _read(tmp_path, _lines(rows)) is not None
    assert _read(tmp_path, _lines({**rows, key: value})) is None


def _toml(value: object) -> str:
    if isinstance(value, tuple):
        return '[{name = "a", sha256 = "b"}]' if value else "[]"
    return str(value).lower() if isinstance(value, bool) else f'"{value}"'


def _lines(rows: dict[str, str]) -> bytes:
    return "\n".join(f"{name} = {value}" for name, value in rows.items()).encode()


def test_a_note_from_before_reasons_had_codes_gives_its_one_reason(tmp_path):
    body = tomllib.loads(to_toml(NOTE).decode())
    del body["reasons"]
    note = _read(tmp_path, tomli_w.dumps(body).encode())
    assert note is not None
    assert note.files == NOTE.files
    assert note.reasons == (Finding(level=Level.REFUSE, code="unknown", message=NOTE.why),)


def test_a_message_full_of_dots_is_cut_rather_than_making_the_note_unreadable(tmp_path):
    name = "." * 250 + "png"
    note = _changed(reasons=(as_reason(Finding(level=Level.HOLD, code="x", message=f"{name} {name} {name}")),))
    assert _read(tmp_path, to_toml(note)) == note


def test_thousands_of_reasons_leave_the_note_small_enough_to_be_read(tmp_path):
    reason = Finding(level=Level.HOLD, code="x", message="é" * 1500)
    note = _read(tmp_path, to_toml(_changed(reasons=(reason,) * 2000)))
    assert note is not None
    assert set(note.reasons) == {reason}


def test_a_message_in_a_note_cannot_forge_a_line(tmp_path):
    forged = Finding(level=Level.HOLD, code="x\n", message="bad\nlantern: made\x1b[2J")
    note = _read(tmp_path, to_toml(_changed(reasons=(forged,))))
    assert note is not None
    assert (note.reasons[0].code, note.reasons[0].message) == (r"x\n", r"bad\nlantern: made\x1b[2J")


def test_the_reason_in_a_note_cannot_forge_a_line(tmp_path):
    note = _read(tmp_path, to_toml(_changed(why="bad\nlantern: made: 50 cards\x1b[2J")))
    assert note is not None
    assert note.why == r"bad\nlantern: made: 50 cards\x1b[2J"


@pytest.mark.parametrize(
    "text", [b"a." * 120_000 + b"b = 1", b"a = " + b"[" * 100_000, b"\xff\xfe" * 1000, b"#" * 300_000]
)
def test_a_hostile_note_is_refused_at_once(tmp_path, text):
    """The reader of the standard library takes minutes for a key of that many dots."""
    start = time.perf_counter()
    assert _read(tmp_path, text) is None
    assert time.perf_counter() - start < 2


@pytest.mark.parametrize("name", ["a", "spring menu", "..a", "a..", ".a", "a\\b"])
def test_a_name_inside_a_folder_is_bare(name):
    assert is_bare_name(name)


@pytest.mark.parametrize("name", ["", ".", "..", "/", "/a", "a/", "a/b", "../a", "a\0"])
def test_a_name_that_leads_elsewhere_is_not(name):
    assert not is_bare_name(name)


def test_a_note_that_has_not_changed_is_not_read_again(tmp_path, monkeypatch):
    """Hundreds of folders may lie in held for months, and every look asks for each."""
    note = _read(tmp_path, to_toml(NOTE))
    monkeypatch.setattr(tomllib, "loads", lambda _text: pytest.fail("read again"))
    assert read_held_note(tmp_path) is note


def test_a_note_that_was_written_anew_is_read_anew(tmp_path):
    _read(tmp_path, to_toml(NOTE))
    (tmp_path / FILE_NAME).unlink()
    changed = _changed(why="2.png is 150 ppi.")  # as long as before
    assert _read(tmp_path, to_toml(changed)) == changed


# -- yes ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    ["spring menu OK", "spring menu Ok ", "spring menu-ok", "spring menu_ok", "spring menu okay", "Spring-Menu Okay",
     "spring menu  ok", "spring menu (ok)", "spring menu ok.", "spring menu ok!", "OK", "Ok ", "okay",
     "spring menu o.k.", "spring menu\u00a0ok"],
)  # fmt: skip
def test_yes_in_many_hands(name):
    assert NOTE.is_accepted_as(name)
    assert not NOTE.is_renamed_as(name)


@pytest.mark.parametrize(
    "name",
    ["spring menu not ok", "spring menu ok?", "spring menu no", "not ok", "ok?", "spring menu ok soon", "spring menu 2",
     "okapi", "other menu ok", "spring menu ok or not", "spring menu nok"],
)  # fmt: skip
def test_what_is_no_yes_is_a_name_that_is_not_understood(name):
    assert not NOTE.is_accepted_as(name)
    assert NOTE.is_renamed_as(name)


def test_an_order_whose_own_name_ends_in_ok_is_not_accepted_by_it():
    note = _changed(folder="we are ok")
    assert not note.is_accepted_as("we are ok")
    assert note.is_accepted_as("we are ok ok")


def test_an_order_called_ok_is_not_accepted_by_its_name():
    assert not _changed(folder="ok").is_accepted_as("OK")
    assert _changed(folder="ok").is_accepted_as("ok ok")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_in_its_place_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / FILE_NAME)
    assert read_held_note(tmp_path) is None
