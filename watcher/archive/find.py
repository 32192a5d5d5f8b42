"""Find the archived order that a name means. Nothing is guessed: where several match, the error lists them."""

import difflib
import unicodedata
from collections.abc import Sequence
from pathlib import Path

from watcher.archive.archived import Archived, archived_names, art_in, may_be_called, read_archived, why_unreadable
from watcher.errors import OrderHeld
from watcher.inbox.file_names import compare_key
from watcher.inbox.tidy import tidy_order_name
from watcher.orders.held_note import alike
from watcher.orders.quantity import counted
from watcher.records.plain_text import one_line
from watcher.records.timestamps import say_stamp_day

_MOST_NAMED = 6
_FIRST = "-1"  # asks for the first of several of a name, whose folder has no number


class NotInArchive(OrderHeld):
    """No archived order has the name."""

    def __init__(self, name: str, near: tuple[str, ...]) -> None:
        nearest = f" The nearest names there: {', '.join(map(one_line, near))}." if near else ""
        super().__init__(
            f"There is no order {one_line(name)} in the archive.{nearest} Every order has its folder there."
        )
        self.name, self.near = name, near

    def __reduce__(self) -> tuple[type, tuple[str, tuple[str, ...]]]:
        return type(self), (self.name, self.near)


class DamagedOrder(OrderHeld):
    """The folder of the name is there, but what it was made as cannot be read."""

    def __init__(self, folder: str, why: str, art: tuple[str, ...]) -> None:
        name = one_line(folder)
        there = f"Its art is there: {', '.join(art[:_MOST_NAMED])}{' …' if len(art) > _MOST_NAMED else ''}."
        way = f"To have it made anew, copy the art from archive/{name} into the inbox."
        super().__init__(
            f"{name} lies in the archive, but {why}. {f'{there} {way}' if art else 'There is no art in it either.'}"
            f" Or put the ticket back: from a backup, or from outbox/{name} while its sheets lie there."
        )
        self.folder, self.why, self.art = folder, why, art

    def __reduce__(self) -> tuple[type, tuple[str, str, tuple[str, ...]]]:
        return type(self), (self.folder, self.why, self.art)


class SeveralArts(OrderHeld):
    """Different art was made under the name."""

    def __init__(self, name: str, there: tuple[str, ...]) -> None:
        super().__init__(
            f"Different art was made under the name {one_line(name)}: {', '.join(there)}. Ask for one of these."
        )
        self.name, self.there = name, there

    def __reduce__(self) -> tuple[type, tuple[str, tuple[str, ...]]]:
        return type(self), (self.name, self.there)


def find_archived(name: str, archive: Path) -> Archived:
    """Find an archived order by the name of its folder or of its art, in any case.

    Of several makings of one art the one whose folder has the very name, else the newest.

    Raises:
        NotInArchive: there is none; the error has the nearest names.
        DamagedOrder: there is its folder, but the ticket in it is missing or cannot be read.
        SeveralArts: there are several, of different art or cards; the error tells them apart.
    """
    asked = tidy_order_name(name)
    folders = archived_names(archive)
    refuse_damaged(asked, folders, archive)
    found = _read(folders, asked, archive)
    exact = next((order for order in found if compare_key(order.folder) == compare_key(asked)), None)
    same = [order for order in found if compare_key(tidy_order_name(order.name)) == compare_key(asked)]
    if exact is not None and exact not in same:
        return exact  # a folder with a number, by which it is one and no other
    if not same and asked.endswith(_FIRST):
        bare = asked.removesuffix(_FIRST)
        same = [order for order in _read(folders, bare, archive) if compare_key(order.folder) == compare_key(bare)]
    if not same:
        like = [folder for folder in folders if _plain(folder) == _plain(asked)]
        if len(like) == 1 and compare_key(like[0]) != compare_key(asked):
            return find_archived(like[0], archive)  # `spring menu`, as a phone writes spring-menu
        raise NotInArchive(name, nearest_names(asked, folders))
    same = [order for order in same if not order.wishes.only] or same  # spoiled designs made again are no other art
    if len({order.same_art for order in same}) > 1:
        raise SeveralArts(name, _told_apart(same))
    return exact or max(same, key=lambda order: (order.made_at, order.folder))


def _plain(name: str) -> str:
    """A name without accents and with one gap for all, as it is written in haste."""
    apart = unicodedata.normalize("NFD", alike(name))
    return "".join(sign for sign in apart if not unicodedata.combining(sign))


def refuse_damaged(asked: str, folders: Sequence[str], archive: Path) -> None:
    """DamagedOrder when the folder of the very name is there, but cannot be read as an order."""
    meant = {compare_key(asked), compare_key(asked.removesuffix(_FIRST))}
    for name in folders:
        if compare_key(name) in meant and (archive / name).is_dir() and (why := why_unreadable(archive / name)):
            raise DamagedOrder(name, why, art_in(archive / name))


def _read(folders: Sequence[str], asked: str, archive: Path) -> list[Archived]:
    """The orders that may have the name; the other tickets are not opened."""
    read = (read_archived(archive / folder) for folder in folders if may_be_called(folder, asked))
    return [order for order in read if order is not None]


def _told_apart(orders: Sequence[Archived]) -> tuple[str, ...]:
    """Describe the first making of each art, oldest first, each by a name that means it alone."""
    firsts: dict[object, Archived] = {}
    for order in sorted(orders, key=lambda order: (order.made_at, order.folder)):
        firsts.setdefault(order.same_art, order)
    return tuple(map(_described, list(firsts.values())[:_MOST_NAMED]))


def _described(order: Archived) -> str:
    cards = counted(order.wishes.quantity, "card")
    return f"{one_line(_name_of(order))} ({say_stamp_day(order.made_at)}, {cards}, {one_line(order.wishes.card)})"


def _name_of(order: Archived) -> str:
    is_bare = compare_key(order.folder) == compare_key(tidy_order_name(order.name))
    return f"{order.folder}{_FIRST}" if is_bare else order.folder


def nearest_names(asked: str, folders: Sequence[str]) -> tuple[str, ...]:
    """Give the folders whose names are close to a name, or contain it."""
    by_key = {compare_key(folder): folder for folder in folders}
    key = compare_key(asked)
    near = difflib.get_close_matches(key, by_key, n=_MOST_NAMED)
    near += [known for known in by_key if key in known and known not in near]
    return tuple(by_key[known] for known in near[:_MOST_NAMED])
