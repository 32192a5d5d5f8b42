"""Note how far the rebuilding of a lost journal is: it goes order by order, while new orders are taken.

The orders of before are written the newest first, and the numbers that were kept for them are given downwards; at the
end they are numbered anew as they were made. A crash in between loses nothing: the row in `rebuild` tells where it was.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from watcher.records.journal import INSERT, Entry, Journal, row_of


@dataclass(frozen=True, kw_only=True)
class RebuildProgress:
    """How far it is: numbers `first` to `last` are kept for the orders of before, `next` is the one given next."""

    first: int
    last: int
    next: int

    @property
    def done(self) -> int:
        """How many were read."""
        return self.last - self.next

    @property
    def of_all(self) -> int:
        """How many there are to read."""
        return self.last - self.first + 1


def begin_rebuild(journal: Journal, first: int, count: int, held: Sequence[Entry]) -> None:
    """Keep the numbers from `first` on for the made orders that are to be read again, and write those that are held."""
    with journal.transaction() as connection:
        if count:
            connection.execute("INSERT INTO rebuild VALUES (?, ?, ?)", (first, first + count - 1, first + count - 1))
        connection.executemany(INSERT, [row_of(entry) for entry in held])


def rebuild_progress(journal: Journal) -> RebuildProgress | None:
    """Give how far it is; None where nothing is being made again."""
    if not journal.ask("SELECT 1 FROM sqlite_master WHERE name = 'rebuild'"):
        return None  # only read, and of an earlier version
    rows = journal.ask("SELECT first, last, next FROM rebuild")
    return RebuildProgress(first=rows[0][0], last=rows[0][1], next=rows[0][2]) if rows else None


def write_rebuilt(journal: Journal, entries: Sequence[Entry], next_number: int) -> None:
    """Write some orders of before, and which number is given next."""
    with journal.transaction() as connection:
        connection.executemany(INSERT, [row_of(entry) for entry in entries])
        connection.execute("UPDATE rebuild SET next = ?", (next_number,))


def end_rebuild(journal: Journal, progress: RebuildProgress) -> None:
    """Number the orders of before as they were made, the oldest first, and keep no numbers any more."""
    kept = (progress.first, progress.last)
    query = "SELECT number FROM orders WHERE number BETWEEN ? AND ? ORDER BY since, folder"
    numbers = [number for (number,) in journal.ask(query, *kept)]
    with journal.transaction() as connection:
        connection.execute("UPDATE orders SET number = -number WHERE number BETWEEN ? AND ?", kept)
        connection.executemany(
            "UPDATE orders SET number = ? WHERE number = ?",
            [(progress.first + place, -number) for place, number in enumerate(numbers)],
        )
        connection.execute("DELETE FROM rebuild")
