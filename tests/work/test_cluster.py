"""Orders made on other machines: a real scheduler and a worker on this one, which is killed; another takes its place.

Source of what Dask promises: distributed.dask.org, "Resilience": a task whose worker dies is given to another one.
"""

import signal
import time
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

from tests.local_cluster import LocalCluster, free_port
from watcher.commands.at_work import service_for
from watcher.service.loop import Service
from watcher.settings.load import load_settings

# looked for and not loaded: the test itself never is a worker
pytestmark = pytest.mark.skipif(not find_spec("distributed"), reason="the optional part for clusters is not installed")

Drop = Callable[..., None]
LIMIT_S = 60.0


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LocalCluster]:
    """A cluster with one worker; whoever kills some of it starts that anew."""
    cluster = LocalCluster(tmp_path_factory.mktemp("cluster"), workers=1)
    yield cluster
    cluster.stop()


@pytest.fixture
def shop(print_folder: Path, cluster: LocalCluster, say_yes: Callable[[Path], None]) -> Iterator[Service]:
    """A service whose orders are made on the cluster."""
    file = print_folder / "settings.toml"
    told = f'[service]\nengine = "dask"\nscheduler = "{cluster.address}"\nworkers = 2'
    file.write_text(file.read_text().replace("[service]", told))
    say_yes(print_folder)
    service = service_for(load_settings(file), once=False, to_screen=False)
    service.start()
    yield service
    service.stop()


def go_on_until(service: Service, condition: Callable[[], object]) -> None:
    end = time.monotonic() + LIMIT_S
    while not condition():
        assert time.monotonic() < end, (service.making.paused, service.shop.log.written)
        service.wake()  # the rescan comes every half minute
        service.wait()
        service.step(time.monotonic())
        time.sleep(0.02)


def made(folder: Path) -> list[str]:
    return sorted(path.parent.name for path in folder.glob("outbox/*/*_ticket.toml"))


def test_an_order_whose_worker_is_killed_is_made_by_another_one_and_each_is_delivered_once(
    shop: Service, cluster: LocalCluster, print_folder: Path, drop_pair: Drop
) -> None:
    drop_pair(print_folder / "inbox", "alder")
    drop_pair(print_folder / "inbox", "beech")
    go_on_until(shop, lambda: made(print_folder) == ["alder", "beech"])
    for worker in cluster.workers.values():
        worker.send_signal(signal.SIGSTOP)
    drop_pair(print_folder / "inbox", "cedar")
    go_on_until(shop, lambda: shop.making.has_busy_worker)
    cluster.kill_workers()
    cluster.start_worker(free_port())
    go_on_until(shop, lambda: shop.scheduling.is_idle and len(made(print_folder)) == 3)
    assert made(print_folder) == ["alder", "beech", "cedar"]
    assert shop.making.made == 3
    assert not list(print_folder.glob("archive/.making-*"))


def test_a_scheduler_that_dies_pauses_the_service_until_it_is_back(
    shop: Service, cluster: LocalCluster, print_folder: Path, drop_pair: Drop
) -> None:
    for worker in cluster.workers.values():
        worker.send_signal(signal.SIGSTOP)
    drop_pair(print_folder / "inbox", "alder")
    go_on_until(shop, lambda: shop.making.has_busy_worker)
    cluster.stop()
    go_on_until(shop, lambda: shop.making.paused)
    assert cluster.address in str(shop.making.paused)
    cluster.start_scheduler()
    cluster.start_worker(free_port())
    go_on_until(shop, lambda: made(print_folder) == ["alder"] and not shop.making.paused)
    assert shop.making.made == 1


def test_an_address_where_nobody_listens_pauses_the_service(
    print_folder: Path, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch, say_yes: Callable[[Path], None]
) -> None:
    monkeypatch.setattr("watcher.work.cluster.CONNECT_S", 0.3)
    file = print_folder / "settings.toml"
    told = f'[service]\nengine = "dask"\nscheduler = "tcp://127.0.0.1:{free_port()}"'
    file.write_text(file.read_text().replace("[service]", told))
    say_yes(print_folder)
    drop_pair(print_folder / "inbox", "alder")
    service = service_for(load_settings(file), once=False, to_screen=False)
    service.start()
    go_on_until(service, lambda: service.making.paused)
    assert "cannot be reached" in str(service.making.paused)
    service.stop()
    assert not made(print_folder)
