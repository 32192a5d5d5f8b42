"""List the held orders, and everything else that lies in their folder."""

from contextlib import suppress
from dataclasses import replace
from datetime import date
from pathlib import Path

from watcher.orders.held_note import FILE_NAME, WHY_PICTURE, HeldNote, read_held_note
from watcher.orders.quantity import say_cards
from watcher.outbox.why import ways_out
from watcher.records.timestamps import parse_timestamp
from watcher.status.model import HeldOrder, Listed, Picture
from watcher.status.newest import newest_folders
from watcher.status.pictures import is_shown_by_browsers, jpeg_picture, png_picture, steps_to
from watcher.status.small_files import Remembered
from watcher.terms import Finding, Level

MOST = 1000  # folders looked into
_MOST_PICTURES = 8  # that a page carries in itself; the others lie beside their orders
_NOT_OURS = Finding(
    level=Level.NOTE,
    code="no-held-note",
    message="This folder was not set aside by this program, or its held.toml is gone or damaged. It is left alone.",
)
_WAY_OUT_OF_NOT_OURS = "If there is art in it that is to be printed, put that into the inbox."


class HeldOrders:
    """Lists the held orders, and caches what their notes and pictures hold."""

    def __init__(self) -> None:
        self._notes: Remembered[HeldNote | None] = Remembered(lambda file: read_held_note(file.parent))
        self._pictures: Remembered[Picture | None] = Remembered(png_picture)

    def read(self, held: Path, outbox: Path | None = None) -> Listed[HeldOrder]:
        """List the held orders, newest first.

        Args:
            held: the folder.
            outbox: from where its pictures are looked at; None: nobody looks at them.
        """
        self._notes.begin()
        self._pictures.begin()
        folders, more = newest_folders(held, MOST)
        found = [self._held(folder, outbox) for folder in folders]
        found.sort(key=_newest_first)
        with_spots = [order.folder for order in found if _spots_of(order)][:_MOST_PICTURES]
        entries = (self._with_spots(order, held) if order.folder in with_spots else order for order in found)
        return Listed(entries=tuple(entries), more=more)

    def _held(self, folder: Path, outbox: Path | None) -> HeldOrder:
        place = f"{folder.parent.name}/{folder.name}"
        note = self._notes.of(folder / FILE_NAME)
        if note is None:
            return _not_ours(folder.name, place)
        is_accepted = note.is_accepted_as(folder.name)
        return HeldOrder(
            folder=folder.name,
            place=place,
            reasons=note.reasons,
            ways_out=tuple(ways_out(note)),
            since=parse_timestamp(note.since),
            may_be_accepted=note.soft,
            is_accepted=is_accepted,
            files=tuple(file.name for file in note.files),
            needs=note.needs,
            pictures=note.pictures,
            held_as=note.folder if note.is_renamed_as(folder.name) else "",
            due=_day(note.due),
            cards=say_cards(note.quantity, from_card=note.quantity_from_card),
            front=jpeg_picture(note.small_picture),
            art=_art(folder, note, outbox),
            address=steps_to(folder, outbox) if outbox else (),
        )

    def _with_spots(self, order: HeldOrder, held: Path) -> HeldOrder:
        """The order with the picture of its art, where that is small enough for a page."""
        return replace(order, spots=self._pictures.of(held / order.folder / _spots_of(order)))


def _spots_of(order: HeldOrder) -> str:
    """The name of the picture with its spots marked; empty for none."""
    return next((name for name in order.pictures if name.endswith(WHY_PICTURE)), "")


def _newest_first(order: HeldOrder) -> tuple[float, str]:
    return (-order.since.timestamp() if order.since else 0.0), order.folder


def _day(said: str) -> date | None:
    try:
        return date.fromisoformat(said)
    except ValueError:
        return None


def _art(folder: Path, note: HeldNote, outbox: Path | None) -> tuple[str, ...]:
    """The first art of an order of which no worker has made a picture, as steps from the outbox; none for none.

    None either where art cannot be opened: it would be a broken picture.
    """
    if outbox is None or note.pictures or note.is_unreadable:
        return ()
    for file in note.files:
        with suppress(OSError):
            if is_shown_by_browsers(file.name, (folder / file.name).lstat().st_size):
                return steps_to(folder / file.name, outbox)
    return ()


def _not_ours(folder: str, place: str) -> HeldOrder:
    return HeldOrder(
        folder=folder,
        place=place,
        reasons=(_NOT_OURS,),
        ways_out=(_WAY_OUT_OF_NOT_OURS,),
        since=None,
        may_be_accepted=False,
        is_accepted=False,
        files=(),
        is_ours=False,
    )
