"""The options before and behind a sub-command of `align`, and the session that they open."""

from datetime import timedelta
from types import SimpleNamespace

import pytest

from watcher.commands.align_session import AlignArguments, arguments_of, session_of, to_the_second
from watcher.errors import WrongUsage


@pytest.fixture
def before(print_folder):
    """A context as `align office --sheet a4 --settings ...` leaves it to its sub-command."""
    file = print_folder / "settings.toml"
    return SimpleNamespace(obj=AlignArguments(printer="office", sheet="a4", settings=file))


def test_what_stands_behind_the_sub_command_wins(before, tmp_path):
    meant = arguments_of(before, "letter", tmp_path / "other.toml")
    assert (meant.printer, meant.sheet, meant.settings) == ("office", "letter", tmp_path / "other.toml")


def test_what_stands_before_it_counts_where_nothing_stands_behind(before):
    assert arguments_of(before, None, None) == before.obj


def test_the_session_is_of_the_printer_and_sheet_that_are_meant(before):
    assert session_of(before, None, None).name == "office on a4"
    assert session_of(before, "LETTER", None).name == "office on letter"


def test_a_sheet_that_is_not_there_is_refused(before):
    with pytest.raises(WrongUsage, match='There is no sheet "a5"'):
        session_of(before, "a5", None)


def test_a_moment_is_told_to_the_second_with_its_offset():
    now = to_the_second()
    assert now.microsecond == 0
    assert isinstance(now.utcoffset(), timedelta)
