"""Is a file finished? By its format's own walk from start to end, reading only what the walk needs.

A size that rests is no proof: a synced or downloaded file may stand still half way, or be as long as it will be with
zeros where the rest belongs.
"""

import os
import stat
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import BinaryIO

from watcher.inbox.document_ends import pdf_ends, toml_ends, zip_ends
from watcher.inbox.raster_ends import jpeg_ends, png_ends, tiff_ends, webp_ends

_HEAD_BYTES = 1024  # a PDF's header may stand anywhere in these (ISO 32000-1, implementation note 13 of Annex H)
_ZEROS = bytes(1 << 20)
_LONGEST = 2_000_000_000  # bytes; more is no art (`orders.gather` says so), and the walk could take for ever

_Walk = Callable[[BinaryIO, int], bool]


class Completeness(StrEnum):
    """How much of a file is there."""

    WHOLE = "whole"  # finished as its format says, or of no format that this walk knows
    GROWING = "growing"  # something is still missing at its end


# What a format's files start with, and the endings people give them. `?` in a signature stands for any byte.
_SIGNATURES: tuple[tuple[bytes, _Walk], ...] = (
    (b"\x89PNG\r\n\x1a\n", png_ends),
    (b"\xff\xd8\xff", jpeg_ends),
    (b"II*\0", tiff_ends),
    (b"MM\0*", tiff_ends),
    (b"II+\0", tiff_ends),
    (b"MM\0+", tiff_ends),
    (b"RIFF????WEBP", webp_ends),
    (b"%PDF-", pdf_ends),
    (b"PK\x03\x04", zip_ends),
    (b"PK\x05\x06", zip_ends),
)
_WALK_OF_EXTENSION: dict[str, _Walk] = {
    ".png": png_ends,
    ".jpg": jpeg_ends,
    ".jpeg": jpeg_ends,
    ".tif": tiff_ends,
    ".tiff": tiff_ends,
    ".webp": webp_ends,
    ".pdf": pdf_ends,
    ".zip": zip_ends,
    ".toml": toml_ends,
}


def has_end_of_its_own(path: Path) -> bool:
    """Whether a file's ending names a format whose walk sees where it ends. A job ticket's text may end anywhere."""
    return _WALK_OF_EXTENSION.get(path.suffix.lower(), toml_ends) is not toml_ends


def how_complete(path: Path) -> Completeness:
    """Tell whether all of a file is there.

    Judged by what the file starts with, else by its ending:
        1. empty, or nothing but zeros: growing
        2. PNG, JPEG, TIFF, WebP, PDF, ZIP: whole when the format's own end is where it belongs
        3. a job ticket (`.toml`): whole unless it holds zeros; whether it can be read, a later stage says
        4. anything else is whole: a later stage says what is wrong with it

        5. so is what is too large for anything

    What cannot be seen from outside: damage in the middle of a file whose end is there. Opening it shows that.

    Raises:
        OSError: the file is gone, may not be read, or is no longer an ordinary file.
    """
    with _open_regular(path) as file:
        size = os.fstat(file.fileno()).st_size
        if size > _LONGEST:
            return Completeness.WHOLE
        head = file.read(_HEAD_BYTES)
        whole = bool(head) and _ends(file, size, head, path.suffix.lower())
    return Completeness.WHOLE if whole else Completeness.GROWING


def _ends(file: BinaryIO, size: int, head: bytes, extension: str) -> bool:
    by_extension = _WALK_OF_EXTENSION.get(extension)
    walk = _walk_by_content(head)
    if walk is not None:
        return walk(file, size)
    if not any(head):  # no format taken starts with zeros: such a file was laid out before it was filled
        return by_extension is None and not _only_zeros(file)
    if by_extension is toml_ends:
        return toml_ends(file, size)
    return not any(_starts_alike(head, start) for start, of in _SIGNATURES if of is by_extension)


def _walk_by_content(head: bytes) -> _Walk | None:
    for start, walk in _SIGNATURES:
        if len(head) >= len(start) and _starts_alike(head, start):
            return walk
    return pdf_ends if b"%PDF-" in head else None


def _starts_alike(head: bytes, start: bytes) -> bool:
    """Whether `head` agrees with a signature as far as both go."""
    return all(have == want or want == ord("?") for have, want in zip(head, start, strict=False))


def _only_zeros(file: BinaryIO) -> bool:
    file.seek(0)
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
