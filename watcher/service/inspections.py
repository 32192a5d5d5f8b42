"""Have workers inspect files whose inside must be known before they can be told apart, and keep their answers."""

import os
from collections import deque

from watcher.inbox.inside import Inside
from watcher.inbox.scan import Identity, SeenFile
from watcher.records.trouble import WorkerTrouble, say_trouble
from watcher.service.life.journal_writing import WORKER_DEATHS
from watcher.service.life.making import Making
from watcher.work.answer import Answer
from watcher.work.contract import Worker
from watcher.work.inspect_file import InspectFile


class Inspections:
    """Files that are to be inspected, and what is known of those that were.

    Attributes:
        known: the inside of each file, or why it cannot be used.
        went_well: how many tasks of all kinds have gone well since the start.
    """

    def __init__(self, making: Making) -> None:
        self._making = making
        self._wanted: deque[SeenFile] = deque()
        self._failed: dict[Identity, int] = {}  # how many tasks had gone well when this one failed last
        self.known: dict[Identity, Inside | str] = {}
        self.went_well = 0

    @property
    def are_wanted(self) -> bool:
        """Whether a file waits for its inspection."""
        return bool(self._wanted)

    def want(self, files: tuple[SeenFile, ...], present: frozenset[Identity]) -> None:
        """Have these files inspected; forget insides of files that are gone."""
        self.known = {identity: inside for identity, inside in self.known.items() if identity in present}
        self._failed = {one: count for one, count in self._failed.items() if one in present}
        under_way = {file.identity for file in self._wanted}
        under_way |= {worker.task.identity for worker in self._making.workers if isinstance(worker.task, SeenFile)}
        self._wanted.extend(file for file in files if file.identity not in under_way)

    def give(self, worker: Worker) -> bool:
        """Give a worker the file that waits longest; False when there was trouble and all must wait."""
        file = self._wanted.popleft()
        try:
            worker.start(file, InspectFile(path=file.path))
        except OSError as error:
            return self._later(file, error)
        return True

    def take(self, file: SeenFile, answer: Answer) -> bool:
        """Keep what a worker says of a file; False when disk, rights or mounts stood in the way."""
        if answer.result is not None:
            self.known[file.identity] = answer.result
        elif answer.held:
            self.known[file.identity] = answer.held[0]
        elif answer.died is not None:
            try:
                deaths = self._making.journal.count_worker_death(_death_key(file.identity), file.name, answer.died)
            except OSError as error:
                return self._later(file, error)
            if deaths >= WORKER_DEATHS:
                self.known[file.identity] = f"{file.name} cannot be opened safely ({answer.died}). Export it again."
        elif _is_as_seen(file):
            return self._later(file, WorkerTrouble(answer.trouble))
        # else: gone, changed or closed to the service; the next scan of the inbox asks again
        return True

    def _later(self, file: SeenFile, error: OSError) -> bool:
        """Inspect a file again after a pause.

        When other work has gone well since it failed before, it is the file's own trouble, which must not keep the
        others: it counts as one that cannot be used.
        """
        before = self._failed.get(file.identity)
        self._failed[file.identity] = self.went_well
        if before is not None and before != self.went_well:
            self.known[file.identity] = f"{file.name} cannot be read ({say_trouble(error)}). Copy or export it again."
            return True
        self._wanted.appendleft(file)
        self._making.journal.pause(error)
        return False


def _is_as_seen(file: SeenFile) -> bool:
    """Whether a file is there, unchanged, and may be read: what kept it from being read is not its own fault."""
    try:
        return Identity.of(file.path.lstat()) == file.identity and os.access(file.path, os.R_OK)
    except OSError:
        return False


def _death_key(identity: Identity) -> str:
    """What deaths over an inspected file are counted under in the journal."""
    return f"look {identity.device} {identity.inode} {identity.size} {identity.mtime_ns}"
