"""Files whose inside is to be looked at before they can be told apart: given to workers, and what they say."""

import os
from collections import deque

from watcher.inbox.inspection import Inside
from watcher.inbox.scan import Identity, SeenFile
from watcher.records.trouble import WorkerTrouble, say_trouble
from watcher.service.in_hand import InHand
from watcher.service.journal_writing import Book
from watcher.work.answer import Answer
from watcher.work.contract import Worker
from watcher.work.local_worker import InspectFile


class Looks:
    """What is to be looked into, and what is known of what was.

    Attributes:
        known: the inside of each file, or why it cannot be used.
        went_well: how many tasks of all kinds have gone well since the start.
    """

    def __init__(self, book: Book, in_hand: InHand) -> None:
        self._book, self._in_hand = book, in_hand
        self._wanted: deque[SeenFile] = deque()
        self._failed: dict[Identity, int] = {}  # how many tasks had gone well when this one failed last
        self.known: dict[Identity, Inside | str] = {}
        self.went_well = 0

    @property
    def are_wanted(self) -> bool:
        """Whether a file waits to be looked into."""
        return bool(self._wanted)

    def want(self, files: tuple[SeenFile, ...], present: frozenset[Identity]) -> None:
        """Have the inside of these files looked at; forget insides of files that are gone."""
        self.known = {identity: inside for identity, inside in self.known.items() if identity in present}
        self._failed = {one: count for one, count in self._failed.items() if one in present}
        under_way = {file.identity for file in self._wanted}
        under_way |= {worker.task.identity for worker in self._in_hand.workers if isinstance(worker.task, SeenFile)}
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
                if self._book.broke_again(_look_key(file.identity), file.name, answer.died):
                    self.known[file.identity] = f"{file.name} cannot be opened safely ({answer.died}). Export it again."
            except OSError as error:
                return self._later(file, error)
        elif _is_as_seen(file):
            return self._later(file, WorkerTrouble(answer.trouble))
        # else: gone, changed or closed to the service; the next look at the inbox asks again
        return True

    def _later(self, file: SeenFile, error: OSError) -> bool:
        """A file that could not be looked into: again after a pause.

        When other work has gone well since it failed before, it is the file's own trouble, which must not keep the
        others: it counts as one that cannot be used.
        """
        before = self._failed.get(file.identity)
        self._failed[file.identity] = self.went_well
        if before is not None and before != self.went_well:
            self.known[file.identity] = f"{file.name} cannot be read ({say_trouble(error)}). Copy or export it again."
            return True
        self._wanted.appendleft(file)
        self._book.pause(error)
        return False


def _is_as_seen(file: SeenFile) -> bool:
    """Whether a file is there, unchanged, and may be read: what kept it from being looked into is not its own fault."""
    try:
        return Identity.of(file.path.lstat()) == file.identity and os.access(file.path, os.R_OK)
    except OSError:
        return False


def _look_key(identity: Identity) -> str:
    """What a file that was looked into is known by in the journal."""
    return f"look {identity.device} {identity.inode} {identity.size} {identity.mtime_ns}"
