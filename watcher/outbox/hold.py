"""Hold an order: move it into `held/ORDER/` with its files, `why.txt` for people, `held.toml` for the way back."""

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from watcher.disk import (
    empty_folder,
    fitting_order_name,
    free_name,
    is_bare_name,
    move_file,
    move_folder,
    remove_folder,
    sync_folder,
    write_durably,
)
from watcher.errors import OrderHeld, WrongUsage
from watcher.inbox.file_names import compare_key
from watcher.inbox.tidy import tidy_order_name
from watcher.orders.claim import taking_folder
from watcher.orders.held_note import (
    ACCEPTED,
    FILE_NAME,
    WHY_NAME,
    HeldFile,
    HeldNote,
    as_reason,
    mark_of,
    read_held_note,
    to_toml,
)
from watcher.orders.model import KeptFile, Order
from watcher.outbox.why import why_text
from watcher.records.plain_text import one_line
from watcher.steps import Step, reached
from watcher.terms import Finding, HeldFor, Level

_REPLACED = Finding(
    level=Level.NOTE,
    code="replaced",
    message="Mended files have come under the same names. What came first is kept here.",
)


def hold(
    order: Order,
    reasons: Sequence[str | Finding],
    *,
    soft: bool,
    archive: Path,
    held: Path,
    since: str,
    needs: HeldFor = HeldFor.ART,
    pictures: tuple[Path, ...] = (),
    small_picture: str = "",
) -> HeldNote:
    """Hold an order: move all of it into the held folder, with the reasons.

    The claim's note stays, until that has been told.

    Args:
        order: its files lie in `archive/.taking-N`.
        reasons: the first the gravest; a plain sentence becomes a finding with the code of what is missing, or
            `order-unclear`.
        soft: whether "ORDER ok" would print it anyway.
        archive: where it lies now.
        held: where it goes.
        since: when, ISO 8601 local time.
        needs: what it waits for.
        pictures: files of ours to be laid beside the order's own, where they lie now.
        small_picture: the front, see `art.small_picture`.
    """
    folder = free_name(
        fitting_order_name(tidy_order_name(order.name), [archive, held]), lambda name: os.path.lexists(held / name)
    )
    beside = _names_beside(order, pictures)
    note = replace(
        _note(order, reasons, folder, soft=soft, since=since),
        needs=needs,
        pictures=tuple(beside),
        small_picture=small_picture,
    )
    source = taking_folder(archive, order.number)
    _only_its_own(order, source)
    _write_beside(source, note, beside)
    move_folder(source, held / folder)
    reached(Step.HELD)
    return note


def _write_beside(folder: Path, note: HeldNote, pictures: Mapping[str, Path]) -> None:
    """Write the pictures, why.txt and held.toml beside the files of an order, durably."""
    for name, picture in pictures.items():
        write_durably(folder / name, picture.read_bytes())
    write_durably(folder / WHY_NAME, why_text(note).encode("utf-8", "backslashreplace"))
    reached(Step.WHY_WRITTEN)
    write_durably(folder / FILE_NAME, to_toml(note))
    sync_folder(folder)
    reached(Step.HELD_NOTED)


def finish_hold(order: Order, *, archive: Path, held: Path) -> bool:
    """Finish a hold that was cut short between two devices, after the copy and before the original was removed.

    Returns:
        Whether it was so. The note in the original names the folder, where it lies too, byte for byte.
    """
    source = taking_folder(archive, order.number)
    note = read_held_note(source)
    if note is None or not _is_same(source / FILE_NAME, held / note.folder / FILE_NAME):
        return False
    remove_folder(source)
    return True


def _is_same(one: Path, other: Path) -> bool:
    try:
        return other.is_file() and one.read_bytes() == other.read_bytes()
    except FileNotFoundError:
        return False


def keep_replaced(folder: Path, note: HeldNote, since: str) -> Path:
    """Rename a held folder whose files have come anew, so that its name is free and nothing in it is lost.

    Gives the folder's new path.
    """
    left = [file.name for file in note.files if (folder / file.name).exists()]
    target = _free_in(folder.parent, note)
    _write_replaced(folder, note, target.name, left, since)
    move_folder(folder, target)
    return target


def keep_superseded(files: Sequence[Path], note: HeldNote, held: Path, since: str) -> Path:
    """Move the files of a returned order that newer ones replace into a held folder of their own.

    Cut short anywhere, no file is lost: the rest of the order goes with the newer files all the same.

    Args:
        files: in the folder that was moved back.
        note: of that folder.
        held: where the new folder goes.
        since: when, ISO 8601 local time.
    """
    target = _free_in(held, note)
    target.mkdir()
    _write_replaced(target, note, target.name, [file.name for file in files], since)
    for file in files:
        move_file(file, target / file.name)
    sync_folder(target)
    return target


def _free_in(held: Path, note: HeldNote) -> Path:
    return held / free_name(note.folder, lambda name: os.path.lexists(held / name))


def _write_replaced(folder: Path, note: HeldNote, name: str, files: Sequence[str], since: str) -> None:
    left = tuple(file for file in note.files if file.name in files)
    replaced = replace(
        note,
        folder=name,
        missing="",
        soft=False,
        since=since,
        why=_REPLACED.message,
        reasons=(_REPLACED,),
        files=left,
        replaced=True,
    )
    write_durably(folder / WHY_NAME, why_text(replaced).encode("utf-8", "backslashreplace"))
    write_durably(folder / FILE_NAME, to_toml(replaced))


def _names_beside(order: Order, pictures: tuple[Path, ...]) -> dict[str, Path]:
    """A name for each file of ours that no file of the person's has."""
    taken = {compare_key(file.name) for file in order.files}
    return {_numbered(file, taken): file for file in pictures}


def _numbered(file: Path, taken: set[str]) -> str:
    return free_name(file.stem, lambda stem: compare_key(stem + file.suffix) in taken) + file.suffix


def _note(order: Order, reasons: Sequence[str | Finding], folder: str, *, soft: bool, since: str) -> HeldNote:
    findings = tuple(as_reason(_finding(reason, order, soft=soft)) for reason in reasons)
    return HeldNote(
        order=order.name,
        key=order.key,
        card=order.wishes.card,
        inbox_folder=order.folder or "",
        folder=folder,
        missing=order.missing or "",
        soft=soft,
        accepted=order.accepted,
        overruled=order.overruled,
        since=since,
        due=order.wishes.due.isoformat() if order.wishes.due else "",
        quantity=0 if order.fault else order.wishes.quantity,  # not known where a name or a ticket is unclear
        quantity_from_card=order.wishes.quantity_from_card,
        why=one_line(findings[0].message),
        files=tuple(_held_file(order, file) for file in order.files),
        came_in=order.came_in,
        reasons=findings,
        seen=() if order.accepted and not order.seen else (*order.seen, *map(mark_of, _messages(reasons))),
    )


def _messages(reasons: Sequence[str | Finding]) -> Iterator[str]:
    """The full messages of the reasons, as the person reads them in why.txt."""
    yield from (reason.message if isinstance(reason, Finding) else reason for reason in reasons)


def _finding(reason: str | Finding, order: Order, *, soft: bool) -> Finding:
    if isinstance(reason, Finding):
        return reason
    code = f"{order.missing}-missing" if order.missing else order.fault_code or OrderHeld.code
    return Finding(level=Level.HOLD if soft else Level.REFUSE, code=code, message=reason)


def _held_file(order: Order, file: KeptFile) -> HeldFile:
    earlier = next((source.earlier for source in order.art if source.file == file.name and source.earlier), None)
    return HeldFile(name=file.name, sha256=file.sha256, members=file.members, earlier=earlier)


def _only_its_own(order: Order, folder: Path) -> None:
    """A try that got far has put the card's common art beside the files; it is no part of what came."""
    own = {compare_key(file.name) for file in order.files}  # some systems give names back with other accents
    empty_folder(folder, keeps=lambda name: compare_key(name) in own)


def give_back(name: str, *, held: Path, inbox: Path, accepted: bool) -> Path:
    """Move a held order back into the inbox, as the person could by hand.

    Raises:
        WrongUsage: there is no such held order, or it is one that acceptance cannot mend.
    """
    folder = held / name
    note = read_held_note(folder) if is_bare_name(name) else None
    if note is None and is_bare_name(name) and folder.is_dir():
        raise WrongUsage(
            f"held/{one_line(name)} cannot be taken up again: its {FILE_NAME} is missing or damaged. Put the art in"
            " that folder into the inbox yourself, and delete the folder."
        )
    if note is None:
        known = sorted(other.name for other in held.iterdir() if read_held_note(other)) if held.is_dir() else []
        there = f"Held are: {', '.join(map(one_line, known))}." if known else "Nothing is held."
        raise WrongUsage(f"There is no held order {one_line(name)!r}. {there}")
    if accepted and not note.soft:
        raise WrongUsage(f"{one_line(name)} cannot be printed as it is: {note.why}")
    target = inbox / (note.folder + ACCEPTED if accepted else name)
    move_folder(folder, target)
    return target
