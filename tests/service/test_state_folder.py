"""Lock and journal in `state`, also when somebody deletes them."""

from pathlib import Path

import pytest

from watcher.errors import ServiceStopped
from watcher.service.lock import take_lock
from watcher.service.loop import Service
from watcher.settings.load import load_settings


def test_state_that_was_deleted_at_work_is_made_again_with_its_journal_and_lock(service: Service, tmp_path: Path):
    service.step(0.0)
    service.shop.state.rename(tmp_path / "gone")
    service.step(1.0)
    assert any("the folder state was deleted" in line for line in service.shop.log.written)
    assert service.shop.journal.is_well()
    with pytest.raises(ServiceStopped):
        take_lock(service.shop.state)


def test_state_on_a_network_drive_is_refused_and_nothing_stays_locked(
    print_folder: Path, monkeypatch: pytest.MonkeyPatch
):
    settings = load_settings(print_folder / "settings.toml")
    monkeypatch.setattr("watcher.service.state_folder.network_kind", lambda _folder: "nfs4")
    with pytest.raises(ServiceStopped, match=r"network drive \(nfs4\)"):
        Service(settings, once=True, to_screen=False).start()
    take_lock(settings.folders.state).close()
