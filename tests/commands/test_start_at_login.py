"""The unit that `init --start-at-login` installs, with a made-up systemctl; its file is judged by systemd itself."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from watcher.commands import start_at_login
from watcher.commands.start_at_login import UNIT, install_unit
from watcher.errors import ServiceStopped


@pytest.fixture
def calls(tmp_path, monkeypatch):
    """A machine with systemd, whose systemctl writes down what it is asked; gives what it wrote."""
    (tmp_path / "bin").mkdir()
    systemctl = tmp_path / "bin" / "systemctl"
    systemctl.write_text(
        f'#!/bin/sh\necho "$*" >> {tmp_path}/calls\nexit $(cat {tmp_path}/fails 2>/dev/null || echo 0)\n'
    )
    systemctl.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path / 'bin'}:{os.environ['PATH']}")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setattr(start_at_login, "BOOTED_WITH_SYSTEMD", tmp_path)
    return lambda: (tmp_path / "calls").read_text().splitlines()


@pytest.fixture
def unit(tmp_path):
    return tmp_path / "config" / "systemd" / "user" / UNIT


def exec_start(unit: Path) -> str:
    (line,) = [line for line in unit.read_text().splitlines() if line.startswith("ExecStart=")]
    return line


def test_the_unit_is_written_and_started(calls, unit, tmp_path):
    said = list(install_unit(tmp_path / "cards" / "settings.toml"))
    assert exec_start(unit).endswith(f" run --settings {tmp_path}/cards/settings.toml")
    assert calls() == ["--user daemon-reload", f"--user enable --now {UNIT}"]
    assert f"Wrote {unit}." in said
    assert any("starts whenever you log in" in line for line in said)


@pytest.mark.parametrize("name", ["my cards", "50 % off", 'the "best" cards', "$HOME cards"])
def test_systemd_reads_any_name_of_a_folder_as_it_is(calls, unit, tmp_path, name):
    """systemd.service(5): double quotes keep spaces; % and $ are doubled."""
    list(install_unit(tmp_path / name / "settings.toml"))
    word = exec_start(unit).partition("--settings ")[2]
    assert word[0] == word[-1] == '"'
    assert word[1:-1].replace("%%", "%").replace("$$", "$").replace('\\"', '"') == f"{tmp_path}/{name}/settings.toml"


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="systemd-analyze is not on this machine")
def test_systemd_finds_nothing_to_say_against_it(calls, unit, tmp_path):
    list(install_unit(tmp_path / "my cards" / "settings.toml"))
    done = subprocess.run(
        ["systemd-analyze", "verify", "--user", str(unit)],
        capture_output=True,
        text=True,
        env={**os.environ, "XDG_RUNTIME_DIR": str(tmp_path)},
        timeout=30,
        check=False,
    )
    assert [line for line in (done.stdout + done.stderr).splitlines() if "print-folder" in line] == []


def test_doing_it_twice_changes_nothing(calls, unit, tmp_path):
    for _ in range(2):
        said = list(install_unit(tmp_path / "settings.toml"))
    assert not [line for line in said if line.startswith("Wrote")]
    assert [file.name for file in unit.parent.iterdir()] == [UNIT]


def test_a_unit_of_the_same_folder_that_somebody_changed_is_kept_beside(calls, unit, tmp_path):
    list(install_unit(tmp_path / "settings.toml"))
    unit.write_text(unit.read_text().replace("UMask=0077", "UMask=0022"))
    said = list(install_unit(tmp_path / "settings.toml"))
    assert "UMask=0022" in unit.with_name(f"{UNIT}.before").read_text()
    assert said[0] == f"What was there before is kept as {unit}.before."


def test_a_unit_of_another_folder_stays(calls, unit, tmp_path):
    list(install_unit(tmp_path / "one" / "settings.toml"))
    before = unit.read_text()
    with pytest.raises(ServiceStopped, match="already starts another print folder: ExecStart=.*/one/settings.toml"):
        list(install_unit(tmp_path / "two" / "settings.toml"))
    assert unit.read_text() == before


def test_what_systemctl_does_not_do_is_said(calls, unit, tmp_path):
    (tmp_path / "fails").write_text("1")
    with pytest.raises(ServiceStopped, match="The file is in place, but it could not be started: systemctl --user"):
        list(install_unit(tmp_path / "settings.toml"))
    assert unit.exists()


def test_where_there_is_no_systemd_the_way_out_is_said(calls, unit, tmp_path, monkeypatch):
    monkeypatch.setattr(start_at_login, "BOOTED_WITH_SYSTEMD", tmp_path / "none")
    with pytest.raises(ServiceStopped, match=r'README\.md under "Starting with the computer"'):
        list(install_unit(tmp_path / "settings.toml"))
    assert not unit.exists()
