"""Write, move and remove files and folders atomically, on one file system and across two."""

import errno
import hashlib
import os
import stat
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from io import BufferedReader
from pathlib import Path

from watcher.disk.calls import link, put, remove, remove_file, remove_tree, rename
from watcher.disk.in_use import FileInUse
from watcher.disk.names import cut_name

_CHUNK = 1024 * 1024
_TEMPORARY_NAME_BYTES = 120  # of a name in a temporary one


def sha256_of(path: Path) -> str:
    """The file's SHA-256, read in pieces; a link is not followed."""
    with _open_itself(path) as stream:
        return _digest(stream)


def _open_itself(path: Path) -> BufferedReader:
    return os.fdopen(os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)), "rb")


def status_of_file(path: Path, most: int) -> os.stat_result | None:
    """The status of a file of at most `most` bytes; None for a link, a pipe, which never ends, and for a larger one.

    Raises:
        OSError: there is none, or it cannot be asked.
    """
    status = path.lstat()
    return status if stat.S_ISREG(status.st_mode) and status.st_size <= most else None


def identity_of(path: Path) -> tuple[int, int] | None:
    """Device and inode of a file or folder, links followed; None where there is none."""
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_dev, status.st_ino


def read_regular_file(path: Path, most: int) -> tuple[bytes, os.stat_result] | None:
    """The first `most` bytes of a file and its status; None where it is none, is a link, or cannot be read.

    For places where anybody may have put anything: nothing is waited for, as a pipe would have it.
    """
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        with os.fdopen(os.open(path, flags), "rb") as stream:
            status = os.fstat(stream.fileno())
            return (stream.read(most), status) if stat.S_ISREG(status.st_mode) else None
    except OSError:
        return None


def _digest(stream: BufferedReader) -> str:
    return hashlib.file_digest(stream, "sha256").hexdigest()


def sync_folder(folder: Path) -> None:
    """Make renames inside the folder durable, where the system can do that for folders."""
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


def write_durably(path: Path, data: bytes) -> None:
    """Write a file atomically and durably: after a power cut it is complete or as it was before."""
    with _temporary_beside(path) as temporary:
        with temporary.open("wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        put(temporary, path)
    sync_folder(path.parent)


def write_atomically(path: Path, data: bytes) -> None:
    """Write a file so that no reader ever sees half of it. For what is rewritten soon: the disk is not waited for."""
    with _temporary_beside(path) as temporary:
        temporary.write_bytes(data)
        put(temporary, path)


@contextmanager
def _temporary_beside(target: Path) -> Iterator[Path]:
    """A temporary path beside `target`; removed before, and again when what is done with it fails."""
    temporary = target.with_name(f".{cut_name(target.name, _TEMPORARY_NAME_BYTES)}.part")
    remove(temporary)
    try:
        yield temporary
    except BaseException as error:
        with suppress(OSError):  # what it is about is the error at hand
            remove(temporary)
        if isinstance(error, OSError) and error.filename is None:
            error.filename = str(target)  # writing and flushing do not tell where
        raise


def move_file(source: Path, target: Path) -> bool:
    """Move a file by rename; across devices by copy, flush, compare, remove. `target` must not exist.

    Returns:
        Whether it had to be copied.

    Raises:
        FileExistsError: `target` is taken.
        OSError: the move failed; `source` is untouched then.
    """
    return _move(source, target, "file", _copy_over)


def _move(source: Path, target: Path, kind: str, copy_over: Callable[[Path, Path], None]) -> bool:
    """Rename, or copy and remove the original; whether it had to be copied."""
    if os.path.lexists(target):
        raise FileExistsError(errno.EEXIST, f"there is a {kind} of that name already", str(target))
    try:
        rename(source, target)
    except OSError as error:
        if error.errno != errno.EXDEV:
            raise
        copy_over(source, target)
        _drop_original(source, target)
        return True
    return False


def _drop_original(source: Path, copy: Path) -> None:
    """Remove what has been copied; where that is not possible, its copy."""
    try:
        if source.is_dir():
            leaving = _rename_away(source)
        else:
            remove_file(source)
            return
    except OSError:
        with suppress(OSError):
            remove(copy)
        raise
    with suppress(FileInUse):  # it is out of the way, and removed at the next start
        remove_tree(leaving)


def _copy_over(source: Path, target: Path) -> None:
    """Copy a file durably and with its date; OSError when it changes meanwhile."""
    digest = hashlib.sha256()
    with _temporary_beside(target) as temporary:
        with _open_itself(source) as original, temporary.open("wb") as copy:
            for chunk in _chunks(original):
                digest.update(chunk)
                copy.write(chunk)
            copy.flush()
            os.fsync(copy.fileno())
            status = os.fstat(original.fileno())
        if sha256_of(temporary) != digest.hexdigest() or sha256_of(source) != digest.hexdigest():
            raise OSError(errno.EIO, "the copy differs from the original", str(source))
        with suppress(OSError):  # some file systems keep no dates
            os.utime(temporary, ns=(status.st_atime_ns, status.st_mtime_ns))
        put(temporary, target)
    sync_folder(target.parent)


def _chunks(stream: BufferedReader) -> Iterator[bytes]:
    while chunk := stream.read(_CHUNK):
        yield chunk


def move_folder(source: Path, target: Path) -> None:
    """Move a folder of files atomically; across devices it is copied beside the target first.

    Raises:
        FileExistsError: `target` is taken.
        OSError: the move failed; `source` is untouched then.
    """
    _move(source, target, "folder", _copy_folder_over)
    sync_folder(target.parent)
    sync_folder(source.parent)


def _copy_folder_over(source: Path, target: Path) -> None:
    with _temporary_beside(target) as temporary:
        temporary.mkdir()
        files = sorted(source.iterdir())
        for file in files:
            _copy_over(file, temporary / file.name)
        sync_folder(temporary)
        for file in files:  # somebody who empties the target's folder may have taken one meanwhile
            if (temporary / file.name).stat().st_size != file.stat().st_size:
                raise OSError(errno.EIO, "the copy differs from the original", str(file))
        rename(temporary, target)
    sync_folder(target.parent)


def remove_folder(folder: Path) -> None:
    """Remove a folder atomically: it is renamed first, so nobody finds half of it under its name."""
    remove_tree(_rename_away(folder))


def _rename_away(folder: Path) -> Path:
    leaving = folder.with_name(f".{cut_name(folder.name, _TEMPORARY_NAME_BYTES)}.gone")
    remove(leaving)
    rename(folder, leaving)
    return leaving


def link_or_copy(source: Path, target: Path) -> None:
    """Give a file a second name: a hard link where the file system has them, else a copy."""
    try:
        link(source, target)
    except OSError:
        _copy_over(source, target)
