"""List the usable members of a ZIP without unpacking it, and read one member within limits.

Nothing is ever written under a name from inside a ZIP; names are for people and for pairing only.
"""

import os
import re
import stat
import unicodedata
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from watcher.errors import ArtUnreadable
from watcher.inbox.document_ends import zip_directory
from watcher.inbox.file_names import compare_key, is_temporary
from watcher.inbox.formats import ART, ART_KINDS, CONTAINER, TICKET, say_formats
from watcher.records.plain_text import one_line

# Our own limits, far above any honest export.
MOST_ENTRIES = 2_000
MOST_MEMBER_BYTES = 200_000_000
MOST_BYTES = 1_000_000_000
MOST_TICKET_BYTES = 64 * 1024
_MOST_RATIO = 200
_RATIO_COUNTS_ABOVE = 10_000_000
_MOST_DIRECTORY_BYTES = 16_000_000

_PACK_AGAIN = "Pack it again"
_TAKEN = f"{say_formats(ART, 'or')} art, or a job ticket (.{TICKET})"
_METHODS = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
_ENCRYPTED, _UTF8_NAME = 0x0001, 0x0800  # general purpose bits 0 and 11, PKWARE APPNOTE 4.4.4
_DRIVE = re.compile(r"[A-Za-z]:")
_BLOCK = 1 << 16
_FOREIGN_ERRORS = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    RuntimeError,  # also for versions and ways of packing that the library does not know
    ValueError,
    OverflowError,
    MemoryError,
)


def usable_members(path: Path) -> list[zipfile.ZipInfo]:
    """List the entries of a ZIP that are art or a ticket.

    Folders, temporary names and what systems add (`__MACOSX`, dot files) are passed over. All the rest must be usable:
    nothing is guessed to be unimportant.

    Raises:
        ArtUnreadable: damaged, encrypted, empty or too large; a name that leads out of the ZIP or occurs twice; a link;
            a ZIP in the ZIP; a file of a kind that is not taken; a way of packing other than stored and deflated.
    """
    with _opened(path) as archive:
        entries = archive.infolist()
    if len(entries) > MOST_ENTRIES:
        raise _too_many(path, len(entries))
    for entry in entries:
        _refuse_path(path, entry)
    members = [entry for entry in entries if not (entry.is_dir() or _is_junk(entry))]
    for member in members:
        for check in _MEMBER_CHECKS:
            check(path, member)
    _refuse_strange_kinds(path, members)
    _refuse_twins(path, members)
    _refuse_size_in_all(path, members)
    if not members:
        raise ArtUnreadable(path.name, "holds no art", f"Put {_TAKEN} into it")
    return members


def member_name(entry: zipfile.ZipInfo) -> str:
    """The entry's own name for people: without folders, composed (NFC), its accents repaired.

    Entries without the UTF-8 mark are read as code page 437; programs that forget the mark write UTF-8 all the same.
    """
    name = entry.filename
    if not entry.flag_bits & _UTF8_NAME:
        try:
            name = name.encode("cp437").decode("utf-8")
        except UnicodeError:
            name = entry.filename
    return unicodedata.normalize("NFC", _parts(name)[-1])


def read_member(path: Path, stored_as: str) -> bytes:
    """Read one member; its bytes are counted while they are unpacked and its checksum is compared.

    Args:
        path: the ZIP.
        stored_as: the member's name inside it, as `Member.stored_as` gives it.

    Raises:
        ArtUnreadable: no such member, damaged, or larger than `MOST_MEMBER_BYTES`.
    """
    with _opened(path) as archive:
        return _unpacked(archive, path, _entry_of(archive, path, stored_as))


def first_bytes(path: Path, stored_as: str, most: int) -> tuple[int, bytes]:
    """Give the size that a ZIP says a member has, and its first bytes, up to so many.

    Raises:
        ArtUnreadable: as for `read_member`.
    """
    with _opened(path) as archive, _mapped(path.name, "is a damaged ZIP"):
        entry = _entry_of(archive, path, stored_as)
        with archive.open(entry) as packed:
            return entry.file_size, packed.read(most)


def read_each(path: Path, entries: Iterable[zipfile.ZipInfo]) -> Iterator[tuple[zipfile.ZipInfo, bytes]]:
    """Read each of these members in turn, from one opening of the ZIP; ArtUnreadable as for `read_member`.

    Args:
        path: the ZIP.
        entries: of that ZIP, as `usable_members` passed them.
    """
    with _opened(path) as archive:
        for entry in entries:
            yield entry, _unpacked(archive, path, entry)


def _entry_of(archive: zipfile.ZipFile, path: Path, stored_as: str) -> zipfile.ZipInfo:
    try:
        entry = archive.getinfo(stored_as)
    except KeyError as error:
        raise ArtUnreadable(path.name, f"holds no {one_line(stored_as, 80)}", _PACK_AGAIN) from error
    for check in _MEMBER_CHECKS:
        check(path, entry)
    return entry


def _unpacked(archive: zipfile.ZipFile, path: Path, entry: zipfile.ZipInfo) -> bytes:
    with _mapped(f"{path.name}: {_shown(entry)}", "is damaged inside the ZIP"), archive.open(entry) as packed:
        return b"".join(_counted(packed, path, entry))


def _counted(packed: IO[bytes], path: Path, entry: zipfile.ZipInfo) -> Iterator[bytes]:
    total = 0
    while block := packed.read(_BLOCK):
        total += len(block)
        if total > MOST_MEMBER_BYTES:
            raise _too_large(path, entry)
        yield block


@contextmanager
def _opened(path: Path) -> Iterator[zipfile.ZipFile]:
    with path.open("rb") as file:
        directory = zip_directory(file, os.fstat(file.fileno()).st_size)
        if directory is None:
            raise ArtUnreadable(path.name, "is not a whole ZIP: its end is missing or damaged", _PACK_AGAIN)
        if directory.entries > MOST_ENTRIES or directory.length > _MOST_DIRECTORY_BYTES:
            raise _too_many(path, directory.entries)
        with _mapped(path.name, "is a damaged ZIP"):
            archive = zipfile.ZipFile(file)
        with archive:
            yield archive


@contextmanager
def _mapped(shown: str, reason: str) -> Iterator[None]:
    """Raise what the ZIP library raises as `ArtUnreadable`."""
    try:
        yield
    except _FOREIGN_ERRORS as error:
        raise ArtUnreadable(shown, reason, _PACK_AGAIN) from error


def _parts(name: str) -> list[str]:
    return [part for part in name.replace("\\", "/").split("/") if part] or [name]


def _is_junk(entry: zipfile.ZipInfo) -> bool:
    return any(is_temporary(part) for part in _parts(entry.filename))


def _shown(entry: zipfile.ZipInfo) -> str:
    return one_line(member_name(entry), 80)


def _too_many(path: Path, entries: int) -> ArtUnreadable:
    return ArtUnreadable(path.name, f"holds {entries:,} files; {MOST_ENTRIES:,} is the most", "Split it into several")


def _too_large(path: Path, entry: zipfile.ZipInfo) -> ArtUnreadable:
    size, most = entry.file_size / 1e6, MOST_MEMBER_BYTES / 1e6
    return ArtUnreadable(
        path.name, f"holds {_shown(entry)} of {size:,.0f} MB; {most:,.0f} MB is the most", "Export it smaller"
    )


def _refuse_path(path: Path, entry: zipfile.ZipInfo) -> None:
    name = entry.filename.replace("\\", "/")
    if not name:
        raise ArtUnreadable(path.name, "holds a file without a name", _PACK_AGAIN)
    if name.startswith("/") or _DRIVE.match(name) or ".." in name.split("/"):
        shown = one_line(entry.filename, 80)
        raise ArtUnreadable(path.name, f"holds a name that leads out of the ZIP ({shown})", _PACK_AGAIN)


def _refuse_encrypted(path: Path, entry: zipfile.ZipInfo) -> None:
    if entry.flag_bits & _ENCRYPTED:
        raise ArtUnreadable(path.name, "is locked with a password", "Pack it again without one")


def _refuse_links(path: Path, entry: zipfile.ZipInfo) -> None:
    kind = stat.S_IFMT(entry.external_attr >> 16)
    if kind not in (0, stat.S_IFREG):
        what = "a link instead of a file" if kind == stat.S_IFLNK else "which is no ordinary file"
        raise ArtUnreadable(path.name, f"holds {_shown(entry)}, {what}", "Pack the file itself")


def _refuse_method(path: Path, entry: zipfile.ZipInfo) -> None:
    if entry.compress_type not in _METHODS:
        raise ArtUnreadable(
            path.name, f"holds {_shown(entry)}, packed in a rare way", "Pack it again as an ordinary ZIP"
        )


def _refuse_size(path: Path, entry: zipfile.ZipInfo) -> None:
    if entry.file_size == 0:
        raise ArtUnreadable(path.name, f"holds {_shown(entry)}, which is empty")
    if entry.file_size > MOST_MEMBER_BYTES:
        raise _too_large(path, entry)
    if _extension(entry) == TICKET and entry.file_size > MOST_TICKET_BYTES:
        raise ArtUnreadable(
            path.name,
            f"holds the job ticket {_shown(entry)} of {entry.file_size:,} bytes; {MOST_TICKET_BYTES:,} is the most",
            "A ticket is a few lines of text",
        )
    if entry.file_size > max(_RATIO_COUNTS_ABOVE, _MOST_RATIO * entry.compress_size):
        raise ArtUnreadable(
            path.name,
            f"holds {_shown(entry)}, which unpacks to more than {_MOST_RATIO} times its size",
            "Put the art into the inbox without a ZIP",
        )


def _refuse_nested(path: Path, entry: zipfile.ZipInfo) -> None:
    if _extension(entry) == CONTAINER:
        raise ArtUnreadable(path.name, f"holds another ZIP ({_shown(entry)})", "Put that one into the inbox by itself")


_MEMBER_CHECKS: Sequence[Callable[[Path, zipfile.ZipInfo], None]] = (
    _refuse_encrypted,
    _refuse_links,
    _refuse_nested,
    _refuse_method,
    _refuse_size,
)


def _refuse_strange_kinds(path: Path, members: Sequence[zipfile.ZipInfo]) -> None:
    strange = [_shown(member) for member in members if _extension(member) not in ART_KINDS | {TICKET}]
    if strange:
        more = f" and {len(strange) - 3} more" if len(strange) > 3 else ""
        raise ArtUnreadable(
            path.name,
            f"holds {', '.join(strange[:3])}{more}, which cannot be used; it takes {_TAKEN}",
            "Pack it again with the art alone",
        )


def _refuse_twins(path: Path, members: Sequence[zipfile.ZipInfo]) -> None:
    seen: set[str] = set()
    for member in members:
        key = compare_key(member_name(member))
        if key in seen:
            raise ArtUnreadable(path.name, f"holds {_shown(member)} more than once", "Pack each file once")
        seen.add(key)


def _refuse_size_in_all(path: Path, members: Sequence[zipfile.ZipInfo]) -> None:
    total = sum(member.file_size for member in members)
    if total > MOST_BYTES:
        raise ArtUnreadable(
            path.name,
            f"unpacks to {total / 1e6:,.0f} MB; {MOST_BYTES / 1e6:,.0f} MB is the most",
            "Split it into several",
        )


def _extension(entry: zipfile.ZipInfo) -> str:
    return member_name(entry).rpartition(".")[2].strip().lower()
