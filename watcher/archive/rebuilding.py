"""Bring back what a lost journal knew, and keep what tickets say ready for lists: a few orders at a time.

Orders are taken meanwhile. What a new order is compared with (art of the same name, sheets that still lie in the
outbox) is brought back before it is needed.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import suppress
from itertools import islice
from pathlib import Path

from loguru import logger

from watcher.archive.archived import bare_name
from watcher.archive.rebuild_journal import made_entry
from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.archive.ticket_index import AT_A_TIME, TicketIndex
from watcher.archive.ticket_reader import ticket_facts
from watcher.inbox.file_names import compare_key
from watcher.orders.recover import notes_under_way
from watcher.records.journal import Entry, Journal
from watcher.records.journal_rebuild import end_rebuild, rebuild_progress, write_rebuilt
from watcher.settings.folders import FolderSettings

_KNOWN_AT_A_TIME = 500  # of orders whose ticket need not be opened
_OF_A_NAME = 50  # newest of a name; a shop that numbers all of its orders has thousands of what looks like one name


class Rebuilding:
    """Reads the archive for the journal, where that was lost, and for the lists.

    Args:
        journal: the open journal.
        folders: of the print folder.

    Raises:
        OSError: the archive cannot be read, or the journal not be written.
    """

    def __init__(self, journal: Journal, folders: FolderSettings) -> None:
        self._journal, self._folders = journal, folders
        self._index = TicketIndex(folders.state)
        self._progress = rebuild_progress(journal)
        scan = self._index.scan(folders.archive)
        self._unread = set(scan.unread)
        self._left = dict.fromkeys(scan.unread if self._progress is None else scan.folders)
        self._by_key: dict[str, list[str]] = defaultdict(list)
        if self._progress is not None:
            for folder in self._left:
                for key in {compare_key(folder), compare_key(bare_name(folder))}:
                    self._by_key[key].append(folder)
            self._read(_in_outbox(folders.outbox))
            self.bring_forward(order.name for order in notes_under_way(folders.archive))

    def close(self) -> None:
        """Close the index that it reads into."""
        self._index.close()

    @property
    def has_more(self) -> bool:
        """Whether there is anything left to read."""
        return bool(self._left) or self._progress is not None

    @property
    def is_for_journal(self) -> bool:
        """Whether orders that were made are still missing from the journal."""
        return self._progress is not None

    def step(self) -> None:
        """Read the next few tickets of the archive.

        Raises:
            OSError: the journal cannot be written now.
        """
        self._read(tuple(self._next()))
        if not self._left and self._progress is not None:
            end_rebuild(self._journal, self._progress)
            logger.info("the journal knows again what was made: {count}", count=self._progress.of_all)
            self._progress = None
            self._by_key.clear()

    def bring_forward(self, names: Iterable[str]) -> None:
        """Read now what may have been made under some names: a new order is compared with it.

        Raises:
            OSError: the journal cannot be written now.
        """
        if self._by_key:
            keys = dict.fromkeys(map(compare_key, names))
            self._read(folder for key in keys for folder in self._by_key.get(key, ())[:_OF_A_NAME])

    def _next(self) -> Iterator[str]:
        """Those that are read in one step: some that are known, few that must be opened."""
        opened = 0
        for number, folder in enumerate(self._left):
            opened += folder in self._unread
            if number >= _KNOWN_AT_A_TIME or opened > AT_A_TIME:
                return
            yield folder

    def _read(self, folders: Iterable[str]) -> None:
        wanted = [folder for folder in dict.fromkeys(folders) if folder in self._left]
        if not wanted:
            return
        self._index.read(self._folders.archive, [folder for folder in wanted if folder in self._unread])
        if self._progress is not None:
            room = self._progress.next - self._progress.first + 1  # what people put there since has no number
            entries = list(islice(self._entries(wanted, self._progress.next), room))
            write_rebuilt(self._journal, entries, self._progress.next - len(entries))
            self._progress = rebuild_progress(self._journal)
        for folder in wanted:
            del self._left[folder]
            self._unread.discard(folder)

    def _entries(self, folders: list[str], number: int) -> Iterator[Entry]:
        """What the journal does not know of these yet; numbers are given downwards."""
        for folder, tables in self._index.tables(folders):
            ticket = ticket_facts(tables)
            if ticket.is_whole and not self._journal.knows_made(folder):
                yield made_entry(number, folder, ticket)
                number -= 1


def _in_outbox(outbox: Path) -> Iterator[str]:
    """The orders whose sheets lie in the outbox: its folders, and for a gang run those that its tickets name."""
    for folder in outbox.iterdir():
        yield folder.name
        with suppress(OSError):  # no folder, or collected at this moment
            tickets = [file.name for file in folder.iterdir() if file.name.endswith(TICKET_SUFFIX)]
            yield from (name.removesuffix(TICKET_SUFFIX) for name in tickets)
