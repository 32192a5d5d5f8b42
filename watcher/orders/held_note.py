"""`held.toml`: the few lines by which a folder that was set aside is known again when the person moves it."""

import tomllib
from dataclasses import dataclass
from pathlib import Path

import tomli_w

FILE_NAME = "held.toml"
WHY_NAME = "why.txt"
ACCEPTED = " ok"  # a folder renamed to "ORDER ok": I have seen it, print anyway
_LARGEST = 256 * 1024


@dataclass(frozen=True, kw_only=True)
class HeldFile:
    """A file set aside; `members` are those of a ZIP that belong to this order, empty for all of it."""

    name: str
    sha256: str
    members: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class HeldNote:
    """What was set aside.

    Attributes:
        order: the order's name.
        key: its name in the form that is compared.
        card: the card's name, empty when it is not known.
        inbox_folder: the card folder of the inbox it came from, empty for the top.
        folder: the name of the held folder when it was made.
        missing: the side (or "art") that a lone half waits for, or empty.
        soft: whether the person may accept it ("ORDER ok").
        since: when, ISO 8601.
        why: the reason in one line.
        files: what lies beside the note.
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

    def is_accepted_as(self, folder_name: str) -> bool:
        """Whether a folder of this name says: print anyway."""
        return folder_name.casefold() == (self.folder + ACCEPTED).casefold()


def to_toml(note: HeldNote) -> bytes:
    """The note as the file's content."""
    body = {name: value for name, value in vars(note).items() if name != "files"}
    body["files"] = [
        {"name": file.name, "sha256": file.sha256} | ({"members": list(file.members)} if file.members else {})
        for file in note.files
    ]
    head = "# Set aside by the print folder. Move this folder back into the inbox to try again; why.txt says more.\n"
    return (head + tomli_w.dumps(body)).encode("utf-8", "surrogateescape")


def read_held_note(folder: Path) -> HeldNote | None:
    """The note in a folder, or None where there is none, or none that can be read (yet)."""
    file = folder / FILE_NAME
    try:
        if file.is_symlink() or file.stat().st_size > _LARGEST:
            return None
        body = tomllib.loads(file.read_bytes().decode("utf-8", "surrogateescape"))
        files = tuple(
            HeldFile(name=one["name"], sha256=one["sha256"], members=tuple(one.get("members", ())))
            for one in body.pop("files")
        )
        return HeldNote(**body, files=files)
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None
