"""Art of an earlier try that was used with newer art: what is said of it, and the side that arrives later after all."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from watcher.archive.archived import Archived, read_archived
from watcher.archive.repeat import is_common
from watcher.disk import sha256_of
from watcher.inbox.found import Earlier, Found
from watcher.inbox.inside import Member
from watcher.inbox.name_parts import NameParts
from watcher.inbox.scan import Identity, SeenFile
from watcher.orders.mended import MadeBefore
from watcher.orders.model import OF_ALL, ArtSource, GroupKey, Order, Piece, Ticket
from watcher.orders.say import earlier_art
from watcher.records.journal import Entry
from watcher.records.timestamps import parse_timestamp
from watcher.terms import EarlierUse, Finding, Level

_PARTNER_S = 14 * 86400  # ours: after two weeks a lone side under an old name is another order


def earlier_findings(order: Order) -> Iterator[Finding]:
    """Say which art came with an earlier try at the order and is used with newer art now."""
    for art in earlier_art(order):
        doubt = art.earlier.use in (EarlierUse.MENDED, EarlierUse.WANTED)
        look = " Look at the card: do its sides belong together?" if doubt else ""
        yield Finding(
            level=Level.WARN if doubt else Level.NOTE,
            code="earlier-art",
            message=f"The {art.shown} did not come with the rest: it lay in {art.where}.{look}",
            side=art.side,
        )


def made_before(key: GroupKey, made: Sequence[Entry], archive: Path, now_s: float) -> MadeBefore | None:
    """Give the last order of a name if some of its art was used only because no newer art had come; else None.

    Args:
        key: the card folder and the name.
        made: finished orders of the name, newest first.
        archive: where they lie.
        now_s: the time, seconds since the epoch.
    """
    order = read_archived(archive / made[0].folder) if made else None
    if order is None or all(source.earlier is None for source in order.art) or not _is_recent(order, now_s):
        return None
    try:
        pieces = tuple(_piece(order, source, archive) for source in order.art if not is_common(source))
    except (OSError, ValueError):
        return None
    return MadeBefore(name=order.name, key=order.key, folder=key[0] or None, pieces=pieces, ticket=_ticket(order))


def _is_recent(order: Archived, now_s: float) -> bool:
    made_at: datetime | None = parse_timestamp(order.made_at)
    return made_at is not None and now_s - made_at.timestamp() < _PARTNER_S


def _piece(order: Archived, source: ArtSource, archive: Path) -> Piece:
    """One side as it lies in the archive.

    Raises:
        OSError: it is gone.
        ValueError: it was altered since.
    """
    path = archive / order.folder / source.file
    if path.is_symlink() or sha256_of(path) != (source.file_sha256 or source.sha256):
        raise ValueError("not the art of then")
    file = SeenFile(path=path, folder=None, name=source.file, identity=Identity.of(path.lstat()))
    extension = path.suffix[1:].lower()
    found = Found(
        file=file,
        parts=NameParts(order=order.name, key=order.key, side=source.side, quantity=None, extension=extension),
        member=_member(source),
        pages=None if source.page is None else source.page + 1,
        design=source.design if order.designs > 1 and source.design != OF_ALL else None,
        earlier=Earlier(
            place=f"archive/{order.folder}", since=order.made_at, use=EarlierUse.AWAITED, before=source.earlier
        ),
    )
    return Piece(side=source.side, found=found, page=source.page, design=source.design)


def _member(source: ArtSource) -> Member | None:
    if source.member is None:
        return None
    return Member(
        name=source.member_name or source.member, stored_as=source.member, size=0, sha256=source.sha256, pages=None
    )


def _ticket(order: Archived) -> Ticket:
    """What the order was made as, in the form of a job ticket; it is no longer due."""
    return Ticket(wishes=replace(order.wishes, due=None), designs=order.designs if order.designs > 1 else None)
