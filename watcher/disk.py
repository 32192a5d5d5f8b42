"""Moves on disk that are whole or not at all, on one file system and across two."""

import errno
import hashlib
import os
import shutil
from collections.abc import Callable, Iterator
from io import BufferedReader
from pathlib import Path

_CHUNK = 1024 * 1024


def sha256_of(path: Path) -> str:
    """The file's SHA-256, read in pieces; a link is not followed."""
    with _open_itself(path) as stream:
        return _digest(stream)


def _open_itself(path: Path) -> BufferedReader:
    return os.fdopen(os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)), "rb")


def _digest(stream: BufferedReader) -> str:
    return hashlib.file_digest(stream, "sha256").hexdigest()


def sync_folder(folder: Path) -> None:
    """Make renames inside the folder durable; where a system cannot do that for folders it is left out."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return  # Windows opens no folders
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):
            raise
    finally:
        os.close(handle)


def sync_file(path: Path) -> None:
    """Make the file's content durable."""
    with path.open("rb+") as stream:
        os.fsync(stream.fileno())


def write_durably(path: Path, data: bytes) -> None:
    """Write a file that is there whole or not at all, also after a power cut."""
    aside = path.with_name(f".{path.name}.part")
    with aside.open("wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
    aside.replace(path)
    sync_folder(path.parent)


def move_file(source: Path, target: Path) -> None:
    """Move a file by rename; across devices by copy, flush, compare, remove. `target` must not exist.

    Raises:
        FileExistsError: `target` is taken.
        OSError: the move failed; `source` is untouched then.
    """
    if os.path.lexists(target):
        raise FileExistsError(errno.EEXIST, "there is a file of that name already", str(target))
    try:
        source.rename(target)
    except OSError as error:
        if error.errno != errno.EXDEV:
            raise
        _copy_over(source, target)
        source.unlink()


def _copy_over(source: Path, target: Path) -> None:
    aside = target.with_name(f".{target.name[:200]}.part")
    digest = hashlib.sha256()
    with _open_itself(source) as original, aside.open("wb") as copy:
        for chunk in _chunks(original):
            digest.update(chunk)
            copy.write(chunk)
        copy.flush()
        os.fsync(copy.fileno())
    if sha256_of(aside) != digest.hexdigest() or sha256_of(source) != digest.hexdigest():
        aside.unlink()
        raise OSError(errno.EIO, "the copy differs from the original", str(source))
    aside.replace(target)
    sync_folder(target.parent)


def _chunks(stream: BufferedReader) -> Iterator[bytes]:
    while chunk := stream.read(_CHUNK):
        yield chunk


def move_folder(source: Path, target: Path) -> None:
    """Move a folder under its new name, whole; across devices it is copied beside the target first.

    Raises:
        FileExistsError: `target` is taken.
    """
    if os.path.lexists(target):
        raise FileExistsError(errno.EEXIST, "there is a folder of that name already", str(target))
    try:
        source.rename(target)
    except OSError as error:
        if error.errno != errno.EXDEV:
            raise
        aside = target.with_name(f".{target.name[:200]}.part")
        shutil.rmtree(aside, ignore_errors=True)
        aside.mkdir(parents=True)
        for file in sorted(source.iterdir()):
            _copy_over(file, aside / file.name)
        sync_folder(aside)
        aside.rename(target)
        shutil.rmtree(source)
    sync_folder(target.parent)
    sync_folder(source.parent)


def link_or_copy(source: Path, target: Path) -> None:
    """The same content under a second name: a hard link where the file system has them, else a copy."""
    try:
        os.link(source, target)
    except OSError:
        _copy_over(source, target)


def free_name(name: str, taken: Callable[[str], bool]) -> str:
    """`name`, or the first of `name-2`, `name-3`, … that is not taken."""
    number = 1
    while taken(candidate := name if number == 1 else f"{name}-{number}"):
        number += 1
    return candidate
