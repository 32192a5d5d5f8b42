"""Remove archived orders that are older than `[service] keep`, a few at a time, while the service is idle."""

from collections import deque
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

from watcher.archive.archived import Archived, read_archived
from watcher.archive.folder_words import folder_of
from watcher.archive.ticket_index import TicketIndex
from watcher.disk import remove_folder
from watcher.inbox.file_names import compare_key
from watcher.orders.held_note import read_held_note
from watcher.records.timestamps import parse_timestamp
from watcher.settings.folders import FolderSettings
from watcher.settings.values import LEAST_KEPT_S

_A_DAY_S = 86_400.0
_OFFSETS = timedelta(days=2)  # the same moment has another day elsewhere; more than the widest offsets are apart
AT_A_TIME = 50  # tickets read; about 50 ms


class Forgetting:
    """Checks the age of every archived order once a day; of those that the index knows to be younger, by that alone.

    Never forgotten are an order of the first 30 days, one whose sheets still lie in the outbox, one that something in
    held goes by the name of, and a folder whose ticket cannot be read.
    """

    def __init__(self, folders: FolderSettings) -> None:
        self._folders = folders
        self._left: deque[str] = deque()
        self._held: frozenset[str] = frozenset()
        self._next_pass = float("-inf")

    def step(self, keep_s: float | None, now: datetime, steady: float, most: int = AT_A_TIME) -> Iterator[Archived]:
        """Check a few orders; gives those that were removed.

        Args:
            keep_s: how long an order is kept, None for ever.
            now: the time in this shop.
            steady: steady clock, s.
            most: how many orders are looked at.

        Raises:
            OSError: the archive cannot be read or written.
        """
        if keep_s is None:
            self._left.clear()
            return
        oldest = now - timedelta(seconds=max(keep_s, LEAST_KEPT_S))
        if not self._left and steady >= self._next_pass:
            self._begin(steady, oldest)
        for _ in range(min(most, len(self._left))):
            order = read_archived(self._folders.archive / self._left.popleft())
            if order is not None and self._may_go(order, oldest):
                remove_folder(self._folders.archive / order.folder)
                yield order

    def _begin(self, steady: float, oldest: datetime) -> None:
        self._next_pass = steady + _A_DAY_S
        self._left.extend(self._perhaps_older(oldest))
        held = self._folders.held
        notes = (read_held_note(path) for path in (held.iterdir() if held.is_dir() else ()))
        self._held = frozenset(note.key for note in notes if note is not None)

    def _perhaps_older(self, oldest: datetime) -> list[str]:
        """The folders that may be older, whose tickets are opened: not those that are known to be younger."""
        index = TicketIndex(self._folders.state)
        try:
            scan = index.scan(self._folders.archive)
            young = index.made_after((oldest + _OFFSETS).date()) - set(scan.unread)
        finally:
            index.close()
        return sorted(set(scan.folders) - young)

    def _may_go(self, order: Archived, oldest: datetime) -> bool:
        made = parse_timestamp(order.made_at)
        if made is None or made > oldest or not self._held.isdisjoint({order.key, compare_key(order.folder)}):
            return False
        return not _exists(folder_of(self._folders.outbox, order.folder))


def _exists(path: Path) -> bool:
    return path.exists() or path.is_symlink()
