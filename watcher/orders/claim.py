"""Taking an order's files out of the inbox: by rename into `archive/.taking-N/`, hashed, nothing lost on the way.

Beside the folder lies `.taking-N.json`, written before the first file moves: it says what is being taken and from
where, so that a claim cut short is undone and a whole one is resumed (`recover.py`) without any other record.
"""

import json
import os
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path

from watcher.disk import link_or_copy, move_file, sha256_of, sync_folder, write_durably
from watcher.inbox.scan import Identity, SeenFile
from watcher.orders.model import ArtSource, KeptFile, Order, Piece, Planned
from watcher.terms import Side

PREFIX = ".taking-"


class FileChanged(Exception):
    """A file was written to, replaced or removed between the last look and the claim: it goes on waiting."""


def taking_folder(archive: Path, number: int) -> Path:
    """Where the files of order `number` lie while it is made."""
    return archive / f"{PREFIX}{number}"


def note_of(archive: Path, number: int) -> Path:
    """The file that says what order `number` is."""
    return archive / f"{PREFIX}{number}.json"


def claim(plans: Sequence[Planned], archive: Path, first_number: int) -> tuple[Order, ...]:
    """Take the files of one bundle of orders out of the inbox.

    Args:
        plans: orders that belong together because they share files; usually one.
        archive: the archive folder.
        first_number: the first of `len(plans) + 1` numbers that are free.

    Returns:
        The orders, each with its files in a folder of its own.

    Raises:
        FileChanged: a file is no longer what was looked at; everything is back where it was.
        OSError: disk or rights; everything that could be put back is back.
    """
    files = list({file.path: file for plan in plans for file in plan.files}.values())
    names = _names_in_folder(files)
    drafts = [_draft(plan, first_number + index, names) for index, plan in enumerate(plans)]
    holder = drafts[0] if len(drafts) == 1 else replace(drafts[0], number=first_number + len(drafts), art=())
    kept = _take(files, names, archive, holder)
    orders = tuple(_with_content(draft, plan, kept) for draft, plan in zip(drafts, plans, strict=True))
    if len(orders) > 1:
        _split(orders, archive, holder.number)
    else:
        write_note(archive, orders[0])
    return orders


def _names_in_folder(files: Sequence[SeenFile]) -> dict[Path, str]:
    """A name for each file in the order's folder: its own, with a number where two share one."""
    names: dict[Path, str] = {}
    for file in files:
        name, number = file.name, 1
        while name.casefold() in {taken.casefold() for taken in names.values()}:
            number += 1
            name = f"{Path(file.name).stem} {number}{Path(file.name).suffix}"
        names[file.path] = name
    return names


def _draft(plan: Planned, number: int, names: dict[Path, str]) -> Order:
    return Order(
        number=number,
        name=plan.name,
        key=plan.key,
        folder=plan.folder,
        card=plan.card,
        sheet=plan.sheet,
        quantity=plan.quantity,
        overs=str(plan.overs) if plan.overs else "0",
        due=plan.due.isoformat() if plan.due else None,
        note=plan.note,
        accepted=plan.accepted,
        art=tuple(_source(piece, names[piece.found.file.path], "") for piece in plan.pieces),
        files=tuple(
            KeptFile(name=names[file.path], origin=str(file.path), size=file.identity.size, sha256="")
            for file in plan.files
        ),
        fault=plan.fault,
        missing=plan.missing,
    )


def _source(piece: Piece, name: str, file_sha256: str) -> ArtSource:
    member = piece.found.member
    return ArtSource(
        side=piece.side,
        file=name,
        sha256=member.sha256 if member else file_sha256,
        member=member.stored_as if member else None,
        member_name=member.name if member else None,
        page=piece.page,
    )


def _take(files: Sequence[SeenFile], names: dict[Path, str], archive: Path, holder: Order) -> dict[str, KeptFile]:
    """Move the files; on any trouble put back what was moved."""
    everything = replace(
        holder,
        files=tuple(
            KeptFile(name=names[file.path], origin=str(file.path), size=file.identity.size, sha256="") for file in files
        ),
    )
    write_note(archive, everything)
    folder = taking_folder(archive, holder.number)
    folder.mkdir()
    try:
        kept = {
            file.name: _take_one(seen, folder / file.name, file)
            for seen, file in zip(files, everything.files, strict=True)
        }
        sync_folder(folder)
    except BaseException:
        put_back(everything, archive)
        raise
    for parent in {file.path.parent for file in files}:
        sync_folder(parent)
    return kept


def _take_one(seen: SeenFile, target: Path, file: KeptFile) -> KeptFile:
    if _identity(seen.path) != seen.identity:
        raise FileChanged(seen.name)
    move_file(seen.path, target)
    digest = sha256_of(target)
    after = target.stat()
    if (after.st_size, after.st_mtime_ns) != (seen.identity.size, seen.identity.mtime_ns):
        raise FileChanged(seen.name)
    return replace(file, sha256=digest)


def _identity(path: Path) -> Identity | None:
    try:
        return Identity.of(path.lstat())
    except FileNotFoundError:
        return None


def _with_content(draft: Order, plan: Planned, kept: dict[str, KeptFile]) -> Order:
    """The order with the hashes that were taken while its files were read."""
    return replace(
        draft,
        art=tuple(
            _source(piece, source.file, kept[source.file].sha256)
            for piece, source in zip(plan.pieces, draft.art, strict=True)
        ),
        files=tuple(kept[file.name] for file in draft.files),
    )


def _split(orders: Sequence[Order], archive: Path, holder: int) -> None:
    """Give each order of a bundle its own folder; a shared file is linked, so it stays whole in each."""
    shared = taking_folder(archive, holder)
    for order in orders:
        folder = taking_folder(archive, order.number)
        folder.mkdir()
        for file in order.files:
            link_or_copy(shared / file.name, folder / file.name)
        sync_folder(folder)
        write_note(archive, order)
    drop_taking(archive, holder)


def drop_taking(archive: Path, number: int) -> None:
    """Remove a taking folder whose files are safe elsewhere, then its note."""
    folder = taking_folder(archive, number)
    if folder.exists():
        for file in folder.iterdir():
            file.unlink()
        folder.rmdir()
    note_of(archive, number).unlink(missing_ok=True)
    sync_folder(archive)


def put_back(order: Order, archive: Path) -> None:
    """Return an order's files to where they lay; a place taken meanwhile by other bytes gets a free name beside it."""
    folder = taking_folder(archive, order.number)
    for file in order.files:
        if (folder / file.name).exists():
            _return_file(folder / file.name, Path(file.origin))
    drop_taking(archive, order.number)


def _return_file(source: Path, origin: Path) -> None:
    origin.parent.mkdir(parents=True, exist_ok=True)
    target, number = origin, 1
    while os.path.lexists(target):
        if target.is_file() and sha256_of(target) == sha256_of(source):
            source.unlink()
            return
        number += 1
        target = origin.with_name(f"{origin.stem} ({number}){origin.suffix}")
    move_file(source, target)


def write_note(archive: Path, order: Order) -> None:
    """Keep what the order is beside its folder."""
    write_durably(note_of(archive, order.number), json.dumps(asdict(order)).encode("ascii"))


def read_note(file: Path) -> Order:
    """The order that a note describes.

    Raises:
        ValueError, KeyError, TypeError: the note is not one of ours.
    """
    data = json.loads(file.read_bytes())
    data["art"] = tuple(ArtSource(**{**source, "side": Side(source["side"])}) for source in data["art"])
    data["files"] = tuple(KeptFile(**kept) for kept in data["files"])
    return Order(**data)
