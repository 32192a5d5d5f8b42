"""Claim complete orders, a few at a time, and clear up the held folders that their art came from."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from loguru import logger

from watcher.disk import remove_empty_folder, remove_file, remove_folder, sha256_of
from watcher.inbox.file_names import compare_key
from watcher.orders.claim import FileChanged, claim, note_of, put_back, read_note
from watcher.orders.held_note import FILE_NAME, WHY_NAME, read_held_note
from watcher.orders.model import Order, Planned
from watcher.orders.readings import group_key
from watcher.orders.returned import ReturnedFolder, held_folders, is_replaced, names_of
from watcher.orders.take_folder import refuse_changed_folders, remove_emptied, with_ticket_written
from watcher.outbox.hold import keep_replaced, keep_superseded
from watcher.records.plain_text import one_line
from watcher.records.trouble import say_trouble
from watcher.service.shop import Shop

Bundle = tuple[Planned, ...]  # orders that are claimed together: they share files
PassOn = Callable[[Sequence[Order], bool], None]

_IN_A_ROW = 8  # bundles claimed before they are passed on: the workers wait meanwhile


class Claiming:
    """Claims orders and numbers them.

    Attributes:
        next_number: the first order number that is free.
        trouble: what kept a complete order from being claimed, or None.
    """

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self.next_number = 0
        self.trouble: str | None = None
        self._cut_short: set[int] = set()  # claims that failed and could not be put back yet
        self._to_empty: set[Path] = set()  # held folders whose art has been claimed
        self._troubled: set[Path] = set()  # files of orders that could not be taken

    def claim(self, ready: Sequence[Bundle], moving: set[Path], pass_on: PassOn) -> tuple[Order, ...]:
        """Claim what is ready, a few bundles at a time; one that cannot be claimed does not keep the others.

        `trouble` stays until that one is claimed or gone: after a failed try it only rests again, which mends nothing.
        """
        self._troubled &= moving
        taken: list[Order] = []
        for at in range(0, max(1, len(ready)), _IN_A_ROW):
            claimed = self._claim_some(ready[at : at + _IN_A_ROW])
            try:
                self.clear_up_after(claimed)
            except OSError as error:
                self.trouble = say_trouble(error)
            taken += claimed
            pass_on(claimed, at + _IN_A_ROW < len(ready))
        if not (self._troubled or self._cut_short or self._to_empty):
            self.trouble = None
        return tuple(taken)

    def _claim_some(self, ready: Sequence[Bundle]) -> list[Order]:
        taken: list[Order] = []
        for bundle in ready:
            try:
                bundle = tuple(map(with_ticket_written, bundle))
                refuse_changed_folders(bundle)
                self._keep_left_over(bundle)
                taken += claim(bundle, self._shop.archive, self.next_number, self._shop.roots.are_there)
            except FileChanged as changed:
                logger.info("{file} changed while it was taken; it waits again", file=one_line(str(changed)))
                self._remember_cut_short(bundle)
            except OSError as error:
                self._troubled |= {file.path for plan in bundle for file in plan.files}
                self.trouble = say_trouble(error)
                self._remember_cut_short(bundle)
            finally:
                self.next_number += len(bundle) + 1
        return taken

    def _keep_left_over(self, bundle: Bundle) -> None:
        """Move files back into held that newer files replace, out of a held folder that was moved into the inbox."""
        for plan in bundle:
            for folder in {file.path.parent for file in plan.left_over}:
                files = [file.path for file in plan.left_over if file.path.parent == folder]
                note = read_held_note(folder)
                if note is not None:
                    kept = keep_superseded(files, note, self._shop.held, self._shop.stamp())
                    self._shop.log.add(
                        f"{note.folder}: newer files came; the earlier ones are kept in held/{kept.name}"
                    )

    def _remember_cut_short(self, bundle: Bundle) -> None:
        numbers = range(self.next_number, self.next_number + len(bundle) + 1)
        self._cut_short |= {number for number in numbers if note_of(self._shop.archive, number).exists()}

    def put_back_cut_short(self) -> None:
        """Undo claims that failed half way and could not be undone at once."""
        for number in sorted(self._cut_short):
            note = note_of(self._shop.archive, number)
            try:
                if note.exists():
                    put_back(read_note(note, self._shop.taken_from), self._shop.archive)
                self._cut_short.discard(number)
            except OSError as error:
                self.trouble = say_trouble(error)

    def clear_up_after(self, taken: Iterable[Order]) -> None:
        """Remove what is left of held folders whose art has been claimed, and rename those whose art has come anew.

        Raises:
            OSError: disk or rights; the rest is tried again at the next reading of the inbox.
        """
        taken = tuple(taken)
        kept = {self._shop.inbox, *self._card_folders()}
        self._to_empty |= {Path(file.origin).parent for order in taken for file in order.files} - kept
        self._number_replaced(taken)
        for folder in sorted(self._to_empty):
            if (folder / FILE_NAME).exists():
                _clear_emptied(folder)
            elif self._shop.inbox in folder.parents:
                remove_emptied(folder)
            self._to_empty.discard(folder)

    def _card_folders(self) -> Iterator[Path]:
        """The folders of the cards, however their names are written in the inbox."""
        cards = {compare_key(card) for card in self._shop.settings.cards}
        yield from (path for path in self._shop.inbox.iterdir() if compare_key(path.name) in cards)

    def _number_replaced(self, taken: Iterable[Order]) -> None:
        """Number held folders whose files have just come anew; remove those with the very same files."""
        fresh = {group_key(order.folder, order.key): order for order in taken}
        for folder in held_folders(self._shop.held) if fresh else ():
            order = fresh.get(folder.key)
            if order is None or folder.accepted or folder.note.replaced:
                continue
            words = self._shop.settings.names
            files = ((Path(file.origin).name, file.members) for file in order.files)
            names = names_of(files, words, order.came_in)
            if is_replaced(folder, names, words):
                self._make_room(folder, order)

    def _make_room(self, folder: ReturnedFolder, order: Order) -> None:
        """Number a folder, or remove it: a sync program that renames a folder shows it for a while under both names."""
        bytes_taken = {file.sha256 for file in order.files}
        others = {entry.name for entry in folder.path.iterdir()} - folder.note.our_names
        if others == {file.path.name for file in folder.files if sha256_of(file.path) in bytes_taken}:
            remove_folder(folder.path)
            return
        kept = keep_replaced(folder.path, folder.note, self._shop.stamp())
        self._shop.log.add(f"{folder.path.name}: mended files came; the earlier ones are kept in held/{kept.name}")


def _clear_emptied(folder: Path) -> None:
    """Remove what is left of a held folder once its art has been claimed; files of the person stay."""
    note = read_held_note(folder)
    ours = note.our_names if note else frozenset({FILE_NAME, WHY_NAME})
    others = [file for file in folder.iterdir() if file.name not in ours]
    if not others:
        for name in sorted(ours - {FILE_NAME}):  # the note last: it tells what else is ours
            remove_file(folder / name, missing_ok=True)
        remove_file(folder / FILE_NAME, missing_ok=True)
        remove_empty_folder(folder)
