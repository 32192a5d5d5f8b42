"""Tell whether a file is complete, by walking its format from start to end and reading only what that needs.

A size that rests is no proof: a synced or downloaded file may stand still half way, or be as long as it will be with
zeros where the rest belongs.
"""

import os
import stat
from enum import StrEnum
from pathlib import Path
from typing import BinaryIO

from watcher.inbox.formats import JOB_TICKET, PDF, TICKET_END, FileFormat, format_of, named_format

_HEAD_BYTES = 1024  # a PDF's header may stand anywhere in these (ISO 32000-1, implementation note 13 of Annex H)
_ZEROS = bytes(1 << 20)
_LONGEST = 2_000_000_000  # bytes; more is no art (`orders.usable` says so), and the walk could take for ever


class Completeness(StrEnum):
    """How much of a file is there."""

    WHOLE = "whole"  # finished as its format says, or of no format that this walk knows
    GROWING = "growing"  # something is still missing at its end


def has_end_of_its_own(path: Path) -> bool:
    """Whether a file's ending names a format whose end is seen. A job ticket's can where its last line is `# end`."""
    named = named_format(path.name)
    return _says_end(path) if named is JOB_TICKET else named is not None


def how_complete(path: Path) -> Completeness:
    """Tell whether all of a file is there.

    Judged by what the file starts with, else by its ending:
        1. empty, or nothing but zeros: growing
        2. PNG, JPEG, TIFF, WebP, PDF, ZIP: whole when the format's own end is where it belongs
        3. a job ticket (`.toml`): whole unless it holds zeros; whether it can be read, `orders.job_ticket` says
        4. anything else is whole: `orders.usable` says what is wrong with it
        5. more than 2,000,000,000 bytes, or a folder: whole; the files in a folder are asked about one by one

    What cannot be seen from outside: damage in the middle of a file whose end is there. Opening it shows that.

    Raises:
        OSError: the file is gone, may not be read, or is no longer an ordinary file.
    """
    if stat.S_ISDIR(path.lstat().st_mode):
        return Completeness.WHOLE
    with _open_regular(path) as file:
        size = os.fstat(file.fileno()).st_size
        if size > _LONGEST:
            return Completeness.WHOLE
        head = file.read(_HEAD_BYTES)
        whole = bool(head) and _ends(file, size, head, named_format(path.name))
    return Completeness.WHOLE if whole else Completeness.GROWING


def _ends(file: BinaryIO, size: int, head: bytes, named: FileFormat | None) -> bool:
    found = format_of(head) or (PDF if PDF.starts[0] in head else None)
    if found is not None:
        return found.is_whole(file, size)
    if not any(head):  # no format taken starts with zeros: such a file was laid out before it was filled
        return named is None and not _only_zeros_follow(file)
    if named is JOB_TICKET:
        return named.is_whole(file, size)
    return named is None or not named.may_start(head)


def _says_end(ticket: Path) -> bool:
    try:
        with _open_regular(ticket) as file:
            file.seek(-min(len(TICKET_END), os.fstat(file.fileno()).st_size), os.SEEK_END)
            return file.read() == TICKET_END
    except OSError:  # gone, or not readable at this moment
        return False


def _only_zeros_follow(file: BinaryIO) -> bool:
    while block := file.read(len(_ZEROS)):
        if block != _ZEROS[: len(block)]:
            return False
    return True


def _open_regular(path: Path) -> BinaryIO:
    """Open for reading; never through a link, never waiting for a pipe that took the file's place."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    file = open(os.open(path, flags | getattr(os, "O_CLOEXEC", 0)), "rb")  # noqa: PTH123, SIM115  # a descriptor
    if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
        file.close()
        raise OSError(f"{path.name} is not an ordinary file")
    return file
