"""A folder `state` that a sync program would spoil keeps the service from its start."""

from pathlib import Path

import pytest

from watcher.commands.at_work import service_for
from watcher.errors import ServiceStopped
from watcher.service.synced import say_synced_state
from watcher.settings.load import load_settings


def test_run_is_refused_with_the_line_to_write(print_folder: Path) -> None:
    (print_folder.parent / ".stfolder").mkdir()
    settings = load_settings(print_folder / "settings.toml")
    with pytest.raises(ServiceStopped) as refused:
        service_for(settings, once=False, to_screen=False).start()
    said = str(refused.value)
    assert 'Write under [folders]: state = "~/shop-state", then: print-folder trust' in said
    assert f"in {print_folder.parent}, which a sync program keeps: .stfolder is there" in said
    assert not (print_folder / "state").exists()


def test_a_home_that_is_synced_whole_is_no_way_out(print_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(print_folder.parent))
    (print_folder.parent / ".stfolder").mkdir()
    said = say_synced_state(load_settings(print_folder / "settings.toml"))
    assert said is not None
    assert "with a folder of this computer that is not synced" in said


def test_a_mark_of_ones_own_counts(print_folder: Path) -> None:
    (print_folder / ".ours").touch()
    file = print_folder / "settings.toml"
    assert say_synced_state(load_settings(file)) is None
    file.write_text(file.read_text().replace("[service]", '[service]\nsync_marks = [".ours"]'))
    assert say_synced_state(load_settings(file)) is not None
