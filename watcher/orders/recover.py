"""Recover claims after a crash: undo those that were cut short, resume the others, remove temporary files."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from loguru import logger

from watcher.disk import remove, remove_file, rename
from watcher.orders.claim import PREFIX, note_of, put_back, read_note, taking_folder
from watcher.orders.model import Order
from watcher.records.plain_text import one_line


@dataclass(frozen=True, kw_only=True)
class LeftOver:
    """An order whose claim was found at the start of the service.

    Attributes:
        order: as its note says. `files` is empty when they have arrived elsewhere (its folder has its final name).
        whole: whether all of its files are in its taking folder.
    """

    order: Order
    whole: bool


def left_overs(archive: Path, taken_from: Sequence[Path] = ()) -> tuple[LeftOver, ...]:
    """Give every order whose note still lies in the archive, oldest first; `taken_from` as of `read_note`."""
    _sweep(archive)
    found = []
    for note in sorted(archive.glob(f"{PREFIX}*.json"), key=_number):
        try:
            order = read_note(note, taken_from)
            if order.number != _number(note):
                raise ValueError("it is the note of another order")
        except (ValueError, KeyError, TypeError) as error:
            logger.error("{note} cannot be read: {error}", note=note.name, error=one_line(str(error)))
            rename(note, note.with_name(f"unreadable-{note.name.removeprefix('.')}"))
            continue
        if _has_arrived(order, archive):
            order = replace(order, files=())
        found.append(LeftOver(order=order, whole=_is_whole(order, archive)))
    return tuple(found)


def notes_under_way(archive: Path) -> tuple[Order, ...]:
    """Give the orders that are on their way now, as far as their notes can be read; nothing is changed."""
    found = []
    for note in archive.glob(f"{PREFIX}*.json"):
        with suppress(OSError, ValueError, KeyError, TypeError):
            found.append(read_note(note))
    return tuple(found)


def _sweep(archive: Path) -> None:
    """Remove what writing a note or moving a folder across devices left under a temporary name; and links.

    Others may have put a link there: nothing of an order is one.
    """
    for path in (*archive.glob(f".{PREFIX}*"), *filter(Path.is_symlink, archive.glob(f"{PREFIX}*"))):
        remove(path)


def highest_number(archive: Path) -> int:
    """The highest number that a folder or note in the archive carries, 0 for none."""
    return max((_number(path) for path in archive.glob(f"{PREFIX}*")), default=0)


def undo(order: Order, archive: Path) -> None:
    """Put a claim cut short back into the inbox."""
    put_back(order, archive)
    logger.info("order {number} went back to the inbox", number=order.number)


def _number(path: Path) -> int:
    digits = path.name.removeprefix(PREFIX).partition(".")[0]
    return int(digits) if digits.isdecimal() else 0


def _has_arrived(order: Order, archive: Path) -> bool:
    """Whether the order was taken whole and then moved on.

    The claim of a bundle writes the note of each order before its folder; there the bundle's own note tells where
    the files are.
    """
    return all(file.sha256 for file in order.files) and not taking_folder(archive, order.number).exists()


def _is_whole(order: Order, archive: Path) -> bool:
    """Whether the claim had ended: every file there with its hash known.

    The note of a claim is rewritten with the hashes as its last step.
    """
    folder = taking_folder(archive, order.number)
    return bool(order.files) and all(file.sha256 and (folder / file.name).is_file() for file in order.files)


def forget_note(archive: Path, number: int, taken_from: Sequence[Path] = ()) -> None:
    """Remove the note of an order that has arrived; its folder has its final name by then.

    Files that lie in its taking folder all the same belong to another order of that number (the journal is not the
    one they were taken under): they go back to where they were taken from, as `read_note` has it.
    """
    if taking_folder(archive, number).exists():
        put_back(read_note(note_of(archive, number), taken_from), archive)
    remove_file(note_of(archive, number), missing_ok=True)
