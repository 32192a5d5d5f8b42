"""The workers that the settings ask for, and that each of them fulfils the contract."""

import inspect
import sys
from pathlib import Path

import pytest

from tests.conftest import InlineWorker
from watcher.errors import ServiceStopped
from watcher.settings.load import load_settings
from watcher.work.contract import Worker
from watcher.work.local_worker import LocalWorker
from watcher.work.remote_worker import RemoteWorker
from watcher.work.workers import workers_for

MEMBERS = {name: member for name, member in vars(Worker).items() if not name.startswith("_")}


@pytest.mark.parametrize("kind", [LocalWorker, RemoteWorker, InlineWorker])
def test_every_worker_fulfils_the_contract(kind: type) -> None:
    """Mypy holds the first two; here the stand-in of the tests too, by names and arguments."""
    worker = kind() if kind is not RemoteWorker else kind(None, LocalWorker())
    for name, member in MEMBERS.items():
        assert hasattr(worker, name), name
        if inspect.isfunction(member):
            assert list(inspect.signature(getattr(kind, name)).parameters) == list(inspect.signature(member).parameters)
    assert worker.is_idle


def test_as_many_local_workers_as_the_settings_say(print_folder: Path) -> None:
    settings = load_settings(print_folder / "settings.toml").service
    found = workers_for(settings.model_copy(update={"workers": 3}))
    assert [type(worker) for worker in found] == [LocalWorker] * 3


def test_without_the_optional_part_it_is_said_how_to_get_it(
    print_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    settings = load_settings(print_folder / "settings.toml").service
    asked = settings.model_copy(update={"engine": "dask", "scheduler": "tcp://127.0.0.1:1"})
    with pytest.raises(ServiceStopped, match="pip install"):
        workers_for(asked)
