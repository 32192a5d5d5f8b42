"""Hold an order: move it into `held/ORDER/` with its files, `why.txt` for people, `held.toml` for the way back."""

import os
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from watcher.disk import (
    fitting_order_name,
    free_name,
    move_file,
    move_folder,
    remove_file,
    remove_folder,
    sync_folder,
    write_durably,
)
from watcher.errors import OrderHeld, WrongUsage
from watcher.inbox.file_names import compare_key
from watcher.inbox.names import tidy_order_name
from watcher.orders.both_sides import said_of_sides
from watcher.orders.claim import taking_folder
from watcher.orders.folders import asks_again
from watcher.orders.held_note import (
    ACCEPTED,
    FILE_NAME,
    WHY_NAME,
    HeldFile,
    HeldNote,
    as_reason,
    is_bare_name,
    mark_of,
    read_held_note,
    to_toml,
)
from watcher.orders.model import DESIGNS, KeptFile, Order
from watcher.records.plain_text import one_line
from watcher.records.timestamps import say_stamp
from watcher.steps import Step, reached
from watcher.terms import Finding, HeldFor, Level

_PARAGRAPH = textwrap.TextWrapper(
    width=96, initial_indent="  - ", subsequent_indent="    ", break_on_hyphens=False, break_long_words=False
)  # a file's name is never parted
_HEADING = {
    HeldFor.ART: "was set aside on",
    HeldFor.YES: "waits for a yes since",
    HeldFor.FAULT: "was set aside on",
}
_SHOWS = {
    HeldFor.ART: "shows the art, and marks where.",
    HeldFor.YES: "marks what to look at before you send it.",
    HeldFor.FAULT: "shows the art.",
}
_REPLACED = Finding(
    level=Level.NOTE,
    code="replaced",
    message="Mended files have come under the same names. What came first is kept here.",
)
_NOT_YOURS = "  (made by the program)"


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
    for name, picture in beside.items():
        write_durably(source / name, picture.read_bytes())
    write_durably(source / WHY_NAME, why_text(note).encode("utf-8", "backslashreplace"))
    reached(Step.WHY_WRITTEN)
    write_durably(source / FILE_NAME, to_toml(note))
    sync_folder(source)
    reached(Step.HELD_NOTED)
    move_folder(source, held / folder)
    reached(Step.HELD)
    return note


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
        return one.read_bytes() == other.read_bytes()
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
    for file in folder.iterdir():
        if compare_key(file.name) not in own:
            remove_file(file)


def why_text(note: HeldNote) -> str:
    """Write the text of `why.txt`: what happened, what to do, what lies here."""
    return "\n".join(
        [
            f"{one_line(note.order)} {_HEADING[note.needs]} {say_stamp(note.since)}.",
            "",
            "Why",
            *(_PARAGRAPH.fill(said.finding.message) for said in said_of_sides(note.reasons)),
            *(_PARAGRAPH.fill(f"{one_line(name)} {_SHOWS[note.needs]}") for name in note.spot_pictures),
            "",
            "What you can do",
            *(_PARAGRAPH.fill(way) for way in ways_out(note)),
            "",
            "In this folder",
            *(f"  {one_line(file.name)}" for file in note.files),
            *(f"  {one_line(name)}{_NOT_YOURS}" for name in note.pictures),
            "",
        ]
    )


def ways_out(note: HeldNote) -> list[str]:
    """List what the person can do about a held order in the file app; "this folder" is the held one."""
    if note.needs is HeldFor.YES:
        return _ways_to_a_yes(note)
    if note.needs is HeldFor.FAULT:
        return _ways_past_the_check(note) if note.soft else _ways_out_of_a_fault()
    if note.replaced:
        return ["Delete this folder, if you no longer want it.", "Or move it back into the inbox: it is tried again."]
    ways = _ways_in_this_folder(note) if note.came_in else _ways_through_the_inbox(note)
    if note.soft:
        ways.append(
            f'Or rename this folder to "{one_line(note.folder)}{ACCEPTED}": it is made anyway, just as is said above.'
        )
    ways.append("Or delete this folder, if you no longer want it.")
    return ways


def _ways_through_the_inbox(note: HeldNote) -> list[str]:
    """What can be done with files that were dropped by themselves."""
    into = f"inbox/{one_line(note.inbox_folder)}" if note.inbox_folder else "inbox"
    if note.is_unclear:
        return [
            "Do what is said above with the files in this folder, then move the whole folder back into the inbox.",
            f"Or put the files, named so, into {into}, and delete this folder.",
        ]
    if note.is_unusable:
        return [f"Put what is to be printed into {into}, as is said above, and delete this folder."]
    if not note.missing:
        return [
            f"Put the mended files into {into}, under the same names.{_the_rest(note)}",
            "Or put them into this folder, in place of those that are here, and move the whole folder back into the"
            " inbox: it is tried again.",
        ]
    if note.missing == DESIGNS:
        way = f"Put the files that are missing into {into}, under names like the others: they find this order."
    elif note.missing == "art":
        way = f"Put the art into {into}: it finds this job ticket by itself."
    else:
        way = (
            f"Put the {note.missing} into {into}, under the name that is said above: the two find each other by"
            " themselves."
        )
    return [way, "Or move this whole folder back into the inbox: it waits there once more for what is missing."]


def _ways_in_this_folder(note: HeldNote) -> list[str]:
    """What can be done with an order that came as a folder."""
    if asks_again(note.came_in):
        return [
            'Rename this folder to "again ORDER", with the right name of the order (and x40 for 40 of it), and move it'
            " into the inbox."
        ]
    if note.missing:
        what = f"Put the {'rest' if note.missing == DESIGNS else note.missing} into this folder"
    elif note.is_unclear:
        what = "Do what is said above with the files in this folder"
    else:
        what = "Put the mended files into this folder, in place of those that are here"
    return [f"{what}, then move the whole folder back into the inbox: it is tried again."]


def _the_rest(note: HeldNote) -> str:
    if len(note.files) < 2:
        return ""
    return (
        " The rest is taken from this folder when nothing newer of it has come after a while; when you send no more,"
        " move this folder back into the inbox as well: it is made at once."
    )


def _ways_to_a_yes(note: HeldNote) -> list[str]:
    into = f"inbox/{one_line(note.inbox_folder)}" if note.inbox_folder else "inbox"
    to_send = [one_line(name) for name in note.pictures if name not in note.spot_pictures]
    shown = " and ".join(to_send) or "the art"
    mended = f"put the changed files into {into}, under the same names.{_the_rest(note)}"
    if note.came_in:
        mended = (
            "put the changed files into this folder, in place of those that are here, and move the whole folder back"
            " into the inbox."
        )
    return [
        f"Send {shown} to the customer.",
        f'When it is right, rename this folder to "{one_line(note.folder)}{ACCEPTED}": it is made.',
        f"When it is not, {mended}",
        "Or delete this folder, if it is no longer wanted.",
    ]


def _ways_past_the_check(note: HeldNote) -> list[str]:
    picture = one_line(note.pictures[0]) if note.pictures else "the sheet"
    sheets = [one_line(name) for name in note.pictures if name.endswith(".pdf")]
    return [
        f"Open {picture} and {' and '.join(sheets) or 'the sheet'}. The card on the sheet must be the right one, whole,"
        " the right way round and in its place.",
        f'When it is right, rename this folder to "{one_line(note.folder)}{ACCEPTED}": the order is made, and its log'
        " line, its ticket and its instructions say that a person overruled the check.",
        "When it is wrong, keep this folder and show it to whoever looks after the program. The same art saved as PNG"
        " may go through meanwhile.",
        "Or delete this folder, if you no longer want it.",
    ]


def _ways_out_of_a_fault() -> list[str]:
    return [
        "Move this whole folder back into the inbox: it is tried again as it is.",
        "When it comes back, your files are most likely sound: keep this folder and show it to whoever looks after"
        " the program. The same art saved as PNG may go through meanwhile.",
        "Or delete this folder, if you no longer want it.",
    ]


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
