"""A Dask cluster on this machine alone: a real scheduler and its workers, each a process of its own."""

import os
import socket
import subprocess
import sys
from pathlib import Path


class LocalCluster:
    """A scheduler and its workers, each a process of its own, on this machine alone."""

    def __init__(self, folder: Path, workers: int = 2) -> None:
        self.folder = folder
        self.address = f"tcp://127.0.0.1:{free_port()}"
        self.running: list[subprocess.Popen[bytes]] = []
        self.workers: dict[str, subprocess.Popen[bytes]] = {}  # that live, by their address
        self.start_scheduler()
        for _ in range(workers):
            self.start_worker(free_port())

    def start_scheduler(self) -> None:
        port = self.address.rpartition(":")[2]
        self.scheduler = self._start("distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", port)

    def start_worker(self, port: int) -> subprocess.Popen[bytes]:
        # no nanny: the process that is started is the worker itself, and may start processes of its own
        words = ("--host", "127.0.0.1", "--worker-port", str(port), "--nthreads", "1", "--no-nanny")
        worker = self._start(
            "distributed.cli.dask_worker", self.address, *words, "--local-directory", str(self.folder / str(port))
        )
        self.workers[f"127.0.0.1:{port}"] = worker
        return worker

    def _start(self, module: str, *words: str) -> subprocess.Popen[bytes]:
        environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
        command = [sys.executable, "-W", "ignore", "-m", module, *words, "--no-dashboard"]
        with (self.folder / "cluster.log").open("ab") as log:
            process = subprocess.Popen(command, env=environment, stdout=log, stderr=log)
        self.running.append(process)
        return process

    def kill_workers(self) -> None:
        for worker in self.workers.values():
            worker.kill()
            worker.wait()
        self.workers.clear()

    def stop(self) -> None:
        for process in self.running:
            process.kill()
            process.wait()
        self.running.clear()
        self.workers.clear()


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])
