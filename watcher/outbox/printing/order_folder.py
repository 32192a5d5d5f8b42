"""An order's folder in the outbox as printing sees it: whose it is, what its name says, whether all of it is there."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from watcher.archive.folder_words import PRINTED, FolderWords, Word, files_in, folders_of, read_words
from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.archive.ticket_reader import OrderTicket, read_ticket
from watcher.inbox.complete import Completeness, how_complete
from watcher.outbox.printing.order_printing import order_key
from watcher.outbox.printing.stacks import Stack, stacks_of

_MOST_TICKETS = 1000  # of a run


@dataclass(frozen=True, kw_only=True)
class OrderFolder:
    """A folder with the sheets of an order or a run.

    Attributes:
        path: where it lies now.
        words: what its name says.
        tickets: of the order, or of all orders of the run; at least one.
    """

    path: Path
    words: FolderWords
    tickets: tuple[OrderTicket, ...]

    @property
    def order(self) -> str:
        """The name of the order or the run."""
        return self.words.order

    @property
    def ticket(self) -> OrderTicket:
        """A ticket that tells how the files are printed."""
        return self.tickets[0]

    @property
    def key(self) -> str:
        """The key of the order in the notes."""
        return order_key(self.order, self.ticket.made_at)

    @property
    def settings(self) -> tuple[str, ...]:
        """The fingerprints of the settings that the sheets were made with."""
        return tuple(dict.fromkeys(ticket.settings_sha256 for ticket in self.tickets if ticket.settings_sha256))

    @property
    def is_whole(self) -> bool:
        """Whether every file of sheets is there and has its end: a sync program brings one after the other."""
        try:
            files = [self.path / file.file for file in self.ticket.printing]
            return all(how_complete(file) is Completeness.WHOLE for file in files)
        except OSError:
            return False

    def stacks(self) -> tuple[Stack, ...]:
        """Its sheets; NotSent where they cannot be known."""
        return stacks_of(self.ticket, self.path, self.order)


def read_order_folder(path: Path) -> OrderFolder | None:
    """Read a folder of the outbox; None where it holds no order, or none whose ticket is there and can be read."""
    names = files_in(path)
    words = read_words(path.name, names)
    if words is None:
        return None
    own = words.order + TICKET_SUFFIX
    found = [own] if own in names else sorted(name for name in names if name.endswith(TICKET_SUFFIX))[:_MOST_TICKETS]
    tickets = tuple(ticket for name in found if (ticket := read_ticket(path / name)) is not None)
    return OrderFolder(path=path, words=words, tickets=tickets) if tickets else None


def all_folders_of(outbox: Path, order: str) -> Iterator[OrderFolder]:
    """Give every folder of an order, those among the printed ones last."""
    for parent in (outbox, outbox / PRINTED):
        for path in folders_of(parent, order):
            folder = read_order_folder(path)
            if folder is not None:
                yield folder


def find_by_key(outbox: Path, order: str, key: str) -> OrderFolder | None:
    """Find the folder of an order by its key in the notes; None where somebody has taken it away."""
    return next((folder for folder in all_folders_of(outbox, order) if folder.key == key), None)


def name_with(order: str, word: Word) -> str:
    """The name of an order's folder with a word behind it."""
    return f"{order} {word}" if word else order
