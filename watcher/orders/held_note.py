"""Write and read `held.toml`: which order a held folder holds, and why. By it the folder is known when it returns."""

import hashlib
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import tomli_w

from watcher.disk import is_bare_name, status_of_file
from watcher.errors import ArtUnreadable, FolderUnclear, NameUnclear
from watcher.inbox.file_names import compare_key
from watcher.inbox.found import Earlier
from watcher.inbox.scan import Identity
from watcher.orders.model import DESIGNS
from watcher.orders.usable import FILE_UNUSABLE
from watcher.records.plain_text import one_line
from watcher.terms import EarlierUse, Finding, HeldFor, Level, Side

FILE_NAME = "held.toml"
WHY_NAME = "why.txt"
WHY_PICTURE = "_why.png"  # behind the order's name: its art, with the spots in question marked
ACCEPTED = " ok"  # a folder renamed to "ORDER ok": I have seen it, print anyway
_YES = re.compile(r"(?:ok|okay|o\.\s?k\.?|okej|oke|oké)[.!]?", re.IGNORECASE)
_GAPS = "_-. \u00a0\t"
_LARGEST = 1024 * 1024  # bytes; an order of 500 designs, front and back, takes a fifth of it
_MOST_DOTS = 500  # in a line; the reader takes time in the square of a key's dots, and no line of ours has as many
_LONGEST_REASON = 2000  # signs
_MOST_REASON_BYTES = 250_000  # of all reasons together, so that the note stays below `_LARGEST`; why.txt gives all
_UNKNOWN = "unknown"  # the code of a reason in a note that was written before notes gave codes
_TEXTS = ("order", "key", "card", "inbox_folder", "folder", "missing", "since", "why")
_MISSING = ("", "front", "back", "art", DESIGNS)


@dataclass(frozen=True, kw_only=True)
class HeldFile:
    """A file of a held order.

    Attributes:
        name: in the folder.
        sha256: of its bytes.
        members: those of a ZIP that belong to this order; empty for all of it.
        earlier: where it lay before, when it came with an earlier try at the order and newer art went with it.
    """

    name: str
    sha256: str
    members: tuple[str, ...] = ()
    earlier: Earlier | None = None


@dataclass(frozen=True, kw_only=True)
class HeldNote:
    """What was held, and why.

    Attributes:
        order: the order's name.
        key: its name in the form that is compared.
        card: the card's name, empty when it is not known.
        inbox_folder: the card folder of the inbox it came from, empty for the top.
        folder: the name of the held folder when it was made.
        missing: the side (or "art", or "designs") that a lone half waits for, or empty.
        soft: whether the person may accept it ("ORDER ok").
        accepted: soft findings had been accepted before it was held (again).
        overruled: the check by sight had been overruled before.
        since: when, ISO 8601.
        why: the gravest reason in one line.
        files: what lies beside the note.
        replaced: whether mended files have come under the same names; what came first is only kept.
        needs: what it waits for.
        pictures: names of files of ours that lie there too: a picture of the card, the evidence of a fault.
        reasons: why, in full, the gravest first; each message is one line.
        seen: the marks of all reasons that the person has been given (`mark_of`); empty in a note of an earlier
            version.
        due: the day on which it is needed, ISO 8601; empty where that is not said, or in a note of an earlier version.
        quantity: finished cards of each design; 0 where it is not known.
        quantity_from_card: as in `Wishes`.
        small_picture: the front as a small JPEG in base64; empty for none.
        came_in: the name of the folder in which it was dropped, when that folder was the order; else empty.
    """

    order: str
    key: str
    card: str
    inbox_folder: str
    folder: str
    missing: str
    soft: bool
    since: str
    why: str
    files: tuple[HeldFile, ...]
    replaced: bool = False
    accepted: bool = False
    overruled: bool = False
    needs: HeldFor = HeldFor.ART
    pictures: tuple[str, ...] = ()
    reasons: tuple[Finding, ...] = ()
    seen: tuple[str, ...] = ()
    due: str = ""
    quantity: int = 0
    quantity_from_card: bool = False
    small_picture: str = ""
    came_in: str = ""

    @property
    def our_names(self) -> frozenset[str]:
        """What in the folder was never the person's."""
        return frozenset({FILE_NAME, WHY_NAME, *self.pictures})

    @property
    def spot_pictures(self) -> tuple[str, ...]:
        """Those of our pictures that show the art with the spots in question marked."""
        return tuple(name for name in self.pictures if name.endswith(WHY_PICTURE))

    @property
    def code(self) -> str:
        """The word for machines of the gravest reason."""
        return self.reasons[0].code if self.reasons else _UNKNOWN

    @property
    def is_unclear(self) -> bool:
        """Whether its files must be named, chosen or put in otherwise, in its folder."""
        return self.code in (NameUnclear.code, FolderUnclear.code)

    @property
    def is_unusable(self) -> bool:
        """Whether its file can be no art as it is, under this name or in this format."""
        return self.code == FILE_UNUSABLE

    @property
    def is_unreadable(self) -> bool:
        """Whether a file of it cannot be opened."""
        return any(reason.code == ArtUnreadable.code for reason in self.reasons)

    def is_accepted_as(self, folder_name: str) -> bool:
        """Whether a folder of this name says: print anyway.

        `ORDER ok` does, in any case, with `-` or `_` for the space, with a space behind it, `okay` too, and `ok` alone;
        `ORDER not ok` and `ORDER ok?` do not.
        """
        if _YES.fullmatch(folder_name.strip()) and not _YES.fullmatch(self.folder.strip()):
            return True
        return any(
            alike(folder_name[:end]) == alike(self.folder) and _YES.fullmatch(folder_name[end:].strip(_GAPS + "()[]"))
            for end in range(1, len(folder_name))
            if folder_name[end] in _GAPS + "(["
        )

    def is_renamed_as(self, folder_name: str) -> bool:
        """Whether a person has given the folder a name that says neither yes nor nothing."""
        return compare_key(folder_name) != compare_key(self.folder) and not self.is_accepted_as(folder_name)


def alike(name: str) -> str:
    """The form of a name in which spaces, hyphens, dots and underscores are all the same."""
    return " ".join(re.split(r"[\s_.\-]+", compare_key(name).strip(_GAPS)))


def ends_in_yes(name: str) -> bool:
    """Whether a folder's name ends as that of a held order that is accepted."""
    words = re.split(r"[\s_\-]+", name.strip())
    return len(words) > 1 and _YES.fullmatch(words[-1]) is not None


def mark_of(reason: str) -> str:
    """The mark of a reason, by which it is known again: another number in it gives another mark."""
    return hashlib.sha256(reason.encode("utf-8", "backslashreplace")).hexdigest()[:16]


def to_toml(note: HeldNote) -> bytes:
    """Encode the note as the file's content; cut anywhere, by a slow sync, it is no note."""
    body: dict[str, Any] = {name: value for name, value in vars(note).items() if isinstance(value, str | bool)}
    body |= {"needs": str(note.needs), "pictures": list(note.pictures), "count": len(note.files)}
    body |= {"quantity": note.quantity} if note.quantity else {}
    body |= {"seen": list(note.seen), "reasons": list(_reasons_that_fit(note.reasons))}
    body["files"] = [_file(file) for file in note.files]
    head = "# Set aside by the print folder. Move this folder back into the inbox to try again; why.txt says more.\n"
    return (head + tomli_w.dumps(body)).encode("utf-8", "surrogateescape")


def _file(file: HeldFile) -> dict[str, Any]:
    members = {"members": list(file.members)} if file.members else {}
    earlier = file.earlier
    came = {"came_from": earlier.place, "kept_since": earlier.since, "came_as": str(earlier.use)} if earlier else {}
    return {"name": file.name} | members | {"sha256": file.sha256} | came


def as_reason(finding: Finding) -> Finding:
    """The finding as a note keeps it: its message on one line, short enough to be read back."""
    message = one_line(finding.message, most=_LONGEST_REASON)
    return replace(finding, message=message if message.count(".") < _MOST_DOTS else message[:_MOST_DOTS])


def _reasons_that_fit(reasons: tuple[Finding, ...]) -> Iterator[dict[str, str]]:
    room = _MOST_REASON_BYTES
    for finding in reasons:
        room -= len(finding.message.encode("utf-8", "surrogateescape"))
        if room < 0:
            return
        side = {"side": str(finding.side)} if finding.side else {}
        yield {"level": str(finding.level), "code": finding.code} | side | {"message": finding.message}


def _reason(body: dict[str, Any]) -> Finding:
    code = one_line(_text(body["code"]), most=80)
    side = Side(body["side"]) if "side" in body else None
    return as_reason(Finding(level=Level(body["level"]), code=code, side=side, message=_text(body["message"])))


def _earlier(file: dict[str, Any]) -> Earlier | None:
    if "came_from" not in file:
        return None
    place, since = one_line(_text(file["came_from"])), one_line(_text(file["kept_since"]))
    return Earlier(place=place, since=since, use=EarlierUse(file["came_as"]))


def read_held_note(folder: Path) -> HeldNote | None:
    """The note in a folder, or None where there is none, or none that can be read (yet) or that is not one of ours.

    A note that has not changed is not read again: hundreds of folders may lie in `held` for months.
    """
    file = folder / FILE_NAME
    try:
        status = status_of_file(file, _LARGEST)
        return None if status is None else _read(file, Identity.of(status))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


@lru_cache(maxsize=10_000)
def _read(file: Path, _identity: Identity) -> HeldNote:
    """What the file says while it is the same; what cannot be read raises, and is read again each time."""
    text = file.read_bytes().decode("utf-8", "surrogateescape")
    if max((line.count(".") for line in text.splitlines()), default=0) > _MOST_DOTS:
        raise ValueError("not a note of ours")
    return _note(tomllib.loads(text))


def _note(body: dict[str, Any]) -> HeldNote:
    """The note in what was read. It may come from anywhere: whatever is not as `to_toml` writes it is a ValueError."""
    texts = {name: _text(body[name]) for name in _TEXTS}
    if not is_bare_name(texts["folder"]) or texts["missing"] not in _MISSING or not isinstance(body["soft"], bool):
        raise ValueError("not a note of ours")
    texts["why"] = one_line(texts["why"])
    reasons = tuple(_reason(reason) for reason in body.get("reasons", ()))
    files = tuple(
        HeldFile(
            name=_bare(file["name"]),
            sha256=_text(file["sha256"]),
            members=tuple(_text(member) for member in file.get("members", ())),
            earlier=_earlier(file),
        )
        for file in body["files"]
    )
    if body["count"] != len(files):
        raise ValueError("not all of the note")
    return HeldNote(
        **texts,
        soft=body["soft"],
        files=files,
        replaced=body.get("replaced") is True,
        accepted=body.get("accepted") is True,
        overruled=body.get("overruled") is True,
        needs=HeldFor(body.get("needs", HeldFor.ART)),
        pictures=tuple(_bare(name) for name in body.get("pictures", ())),
        reasons=reasons or (Finding(level=Level.REFUSE, code=_UNKNOWN, message=texts["why"]),),
        seen=tuple(_text(mark) for mark in body.get("seen", ())),
        due=_text(body.get("due", "")),
        quantity=body["quantity"] if type(body.get("quantity")) is int else 0,
        quantity_from_card=body.get("quantity_from_card") is True,
        small_picture=_text(body.get("small_picture", "")),
        came_in=_text(body.get("came_in", "")),
    )


def _bare(value: object) -> str:
    name = _text(value)
    if not is_bare_name(name):
        raise ValueError("not a note of ours")
    return name


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError("not text")
    return value


def is_held_order(folder: Path) -> bool:
    """Whether a folder is a held order: its note can be read."""
    return read_held_note(folder) is not None
