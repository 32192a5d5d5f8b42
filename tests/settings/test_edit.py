"""Values written into a settings file: the rest stays to the letter, or nothing is written.

What a file means is judged by the standard library's reader of TOML, before and after.
"""

import difflib
import tomllib
from pathlib import Path

import pytest

from watcher.settings.edit import NotWritten, with_values, write_values
from watcher.settings.starter import STARTERS, starter_text

FOUND = {"flip": "short-edge", "lead": "bottom", "reload": "printed side up, bottom edge first"}
LASER = ("printers", "laser")


def changed_lines(before: str, after: str) -> list[str]:
    return [line for line in difflib.ndiff(before.splitlines(), after.splitlines()) if line[:2] in ("- ", "+ ")]


@pytest.mark.parametrize("kind", STARTERS)
def test_only_the_lines_of_these_keys_change_and_they_keep_their_comments(kind: str):
    before = starter_text(kind)
    (printer,) = tomllib.loads(before)["printers"]
    after = with_values(before, ("printers", printer), FOUND)
    changed = changed_lines(before, after)
    assert [line.split()[1] for line in changed if line[0] == "+"] == list(FOUND)
    assert len(changed) == 2 * len(FOUND), "a sleeping line is woken in its place, none is added"
    assert all("#" in line[4:] for line in changed)
    assert tomllib.loads(after)["printers"][printer].items() >= FOUND.items()


@pytest.mark.parametrize(
    "before",
    [
        "printers.laser = {flip='long-edge'} # mine\n",
        "[printers]\nlaser.flip = 'long-edge' # mine\n[sheets.a4]\nsize='A4'\n",
        "[ printers . 'laser' ]   # mine\nflip='long-edge'",
        "[printers.laser]\n[printers.laser.align.a4]\nturn = 0 # mine\n",
        '[printers.laser] # mine\nreload = """a\n# lead = "top"\n"""\n',
        "# mine\n",
    ],
)
def test_however_the_table_is_written_it_has_the_values_and_nothing_else_changes(before: str):
    after = with_values(before, LASER, FOUND)
    wanted = tomllib.loads(before)
    wanted.setdefault("printers", {}).setdefault("laser", {}).update(FOUND)
    assert tomllib.loads(after) == wanted
    assert "# mine" in after


def test_a_new_line_stands_behind_its_heading_and_not_below_an_example_that_is_asleep():
    before = "[printers.laser]\nflip = 'long-edge'\n\n# [printers.laser.align.a4]\n# turn = 0\n"
    after = with_values(before, LASER, {"lead": "top"})
    assert after == before.replace("laser]\n", 'laser]\nlead = "top"\n', 1)


def test_line_ends_of_other_systems_and_a_mark_at_the_start_stay(tmp_path: Path, least: str):
    file = tmp_path / "settings.toml"
    file.write_bytes(b"\xef\xbb\xbf" + least.replace("\n", "\r\n").encode())
    write_values(file, LASER, {"lead": "top", "flip": "short-edge"}, tmp_path / "kept.toml")
    written = file.read_bytes()
    assert written.startswith(b"\xef\xbb\xbf")
    assert written.count(b"\r\n") == written.count(b"\n") == least.count("\n") + 1


def test_the_file_as_it_was_is_kept_and_an_earlier_copy_too(tmp_path: Path, least: str):
    file = tmp_path / "settings.toml"
    file.write_text(least)
    file.chmod(0o640)
    kept = [write_values(file, LASER, {"lead": edge}, tmp_path / "kept.toml") for edge in ("top", "bottom")]
    assert [copy.name for copy in kept] == ["kept.toml", "kept-2.toml"]
    assert kept[0].read_text() == least
    assert 'lead = "top"' in kept[1].read_text()
    assert file.stat().st_mode & 0o777 == 0o640


def test_a_link_stays_a_link(tmp_path: Path, least: str):
    (tmp_path / "true.toml").write_text(least)
    (tmp_path / "settings.toml").symlink_to("true.toml")
    write_values(tmp_path / "settings.toml", LASER, {"lead": "top"}, tmp_path / "kept.toml")
    assert (tmp_path / "settings.toml").is_symlink()
    assert 'lead = "top"' in (tmp_path / "true.toml").read_text()


def test_what_the_program_would_refuse_afterwards_is_not_written(tmp_path: Path, least: str):
    file = tmp_path / "settings.toml"
    file.write_text(least)
    with pytest.raises(NotWritten, match=r'printers\.laser\.lead is "sideways"'):
        write_values(file, LASER, {"lead": "sideways"}, tmp_path / "kept.toml")
    assert [path.name for path in tmp_path.iterdir()] == ["settings.toml"]
    assert file.read_text() == least


def test_a_place_that_cannot_be_written_to_is_said(tmp_path: Path, least: str):
    file = tmp_path / "settings.toml"
    file.write_text(least)
    with pytest.raises(NotWritten, match=r"kept\.toml cannot be written"):
        write_values(file, LASER, {"lead": "top"}, tmp_path / "no" / "kept.toml")
    assert file.read_text() == least
