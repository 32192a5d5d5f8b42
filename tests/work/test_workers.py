"""The workers that the settings ask for, and that each of them fulfils the contract."""

import inspect
import sys
from pathlib import Path

import pytest

from tests.conftest import InlineWorker
from watcher.errors import ServiceStopped
from watcher.records.machine import Machine
from watcher.settings.load import load_settings
from watcher.work.contract import Worker
from watcher.work.local_worker import LocalWorker
from watcher.work.remote_worker import RemoteWorker
from watcher.work.workers import how_many, workers_for

LARGE = Machine(memory_bytes=16_000_000_000, cores=8)
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
    found = workers_for(settings.model_copy(update={"workers": 3}), LARGE)
    assert [type(worker) for worker in found] == [LocalWorker] * 3


@pytest.mark.parametrize(
    ("memory_mb", "cores", "count"), [(1000, 1, 1), (1000, 2, 2), (500, 4, 1), (4000, 4, 3), (None, 2, 2)]
)
def test_a_small_computer_has_fewer_workers_than_the_settings_say(
    memory_mb: int | None, cores: int, count: int
) -> None:
    machine = Machine(memory_bytes=None if memory_mb is None else memory_mb * 1_000_000, cores=cores)
    assert how_many(3, machine) == count


def test_without_the_optional_part_it_is_said_how_to_get_it(
    print_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    settings = load_settings(print_folder / "settings.toml").service
    asked = settings.model_copy(update={"engine": "dask", "scheduler": "tcp://127.0.0.1:1"})
    with pytest.raises(ServiceStopped, match="pip install"):
        workers_for(asked, LARGE)
