"""The versions of the libraries that shape a sheet: told by the ticket, and what a repeat with others says."""

import re
import tomllib
from pathlib import Path

import pytest

from watcher.archive import libraries
from watcher.archive.libraries import SHAPING, libraries_changed, libraries_in, shaping_libraries

HERE = Path(__file__).parents[2]
NOW = dict.fromkeys(SHAPING, "2.0")


@pytest.fixture
def now(monkeypatch: pytest.MonkeyPatch) -> None:
    """All libraries have version 2.0."""
    monkeypatch.setattr(libraries, "shaping_libraries", lambda: NOW)


def test_the_same_versions_say_nothing_and_neither_does_an_early_ticket(now):
    assert libraries_changed(NOW, "2026-02-01T10:00:00") is None
    assert libraries_changed({}, "2026-02-01T10:00:00") is None


def test_another_version_is_named_with_both_numbers(now):
    finding = libraries_changed(NOW | {"pypdf": "1.9"}, "2026-02-01T10:00:00")
    assert finding is not None
    assert "pypdf 1.9 then, 2.0 now" in finding.message
    assert "2026-02-01" in finding.message
    assert "numpy" not in finding.message


@pytest.mark.parametrize("ticket", [None, "7.1", [], {"pypdf": 7}, {"other": "1.0"}])
def test_what_is_no_table_of_versions_tells_nothing(ticket):
    assert libraries_in(ticket) == {}


def test_all_of_them_are_installed_and_told():
    assert shaping_libraries().keys() == set(SHAPING)
    assert libraries_in(dict(shaping_libraries())) == shaping_libraries()


def test_the_tested_versions_hold_every_dependency_and_no_older_one_than_is_allowed():
    """`config/versions.txt` constrains what a shop installs (pip's documentation, "Constraints Files")."""
    tested = dict(re.findall(r"^([\w-]+)==([\d.]+)$", (HERE / "config" / "versions.txt").read_text(), re.MULTILINE))
    project = tomllib.loads((HERE / "pyproject.toml").read_text())["project"]
    for bound in project["dependencies"]:
        name, lowest = re.fullmatch(r"([\w-]+)>=([\d.]+)", bound).groups()
        assert _numbers(tested[name]) >= _numbers(lowest), name


def _numbers(version: str) -> tuple[int, ...]:
    return tuple(map(int, version.split(".")))
