"""Drop the folders of printed orders when they have been kept long enough; the art stays in the archive."""

from datetime import datetime, timedelta

from watcher.archive.folder_words import PRINTED
from watcher.disk import remove_folder
from watcher.outbox.printing.notes import PrintNotes
from watcher.outbox.printing.order_folder import OrderFolder, read_order_folder
from watcher.records.timestamps import moment_of_ns, parse_timestamp
from watcher.service.shop import Shop

_PASS_S = 3600.0


class Keeping:
    """Looks through the printed orders once an hour.

    Args:
        shop: folders, settings and clock.
    """

    def __init__(self, shop: Shop) -> None:
        self._shop, self._next_pass = shop, float("-inf")

    def step(self, notes: PrintNotes, steady: float) -> None:
        """Drop what has been kept for long enough.

        Args:
            notes: they tell since when an order is printed.
            steady: steady clock, s.

        Raises:
            OSError: folders or notes cannot be written.
        """
        if steady < self._next_pass:
            return
        self._next_pass = steady + _PASS_S
        parent = self._shop.outbox / PRINTED
        oldest = self._shop.now() - timedelta(seconds=self._shop.settings.service.keep_printed)
        for path in sorted(parent.iterdir()) if parent.is_dir() and not parent.is_symlink() else ():
            folder = None if path.is_symlink() or path.name.startswith(".") else read_order_folder(path)
            if folder is not None and (since := _printed_since(notes, folder)) is not None and since < oldest:
                remove_folder(path)
                self._shop.log.add(f"{folder.order}: printed on {since:%Y-%m-%d}; its folder is dropped (keep_printed)")


def _printed_since(notes: PrintNotes, folder: OrderFolder) -> datetime | None:
    """When all of an order was printed; where the notes do not know, when its folder was changed last."""
    printing = notes.find(folder.key)
    told = parse_timestamp(printing.note.finished_at) if printing else None
    if told is not None or (printing is not None and printing.note.wish):
        return told
    return moment_of_ns(folder.path.stat().st_mtime_ns)
