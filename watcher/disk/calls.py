"""Rename, link and remove: each waits a few seconds for a file that another program has open (`in_use`).

No other file of the program makes these calls of the system.
"""

import errno
import os
import shutil
import stat
from collections.abc import Callable
from pathlib import Path

from watcher.disk.in_use import until_free


def put(temporary: Path, target: Path) -> None:
    """Give a finished file its name; what had that name is replaced."""
    until_free(target, lambda: temporary.replace(target))


def remove(path: Path) -> None:
    """Remove whatever has this name: a file, a folder with all that is in it, or nothing."""
    if path.is_dir() and not path.is_symlink():
        remove_tree(path)
    else:
        remove_file(path, missing_ok=True)


def empty_folder(folder: Path, keeps: Callable[[str], bool] = lambda _name: False) -> None:
    """Remove all from a folder of ours, but for what has a name that it keeps.

    Others may write to the print folder: what is no folder, a link to one elsewhere too, is itself removed.
    """
    if folder.is_symlink() or not folder.is_dir():
        remove(folder)
        return
    for one in folder.iterdir():
        if not keeps(one.name):
            remove(one)


def make_folder_itself(folder: Path) -> None:
    """Make a folder of ours where it is not there; no parents. What is no folder in its place is removed first."""
    if folder.is_symlink() or not folder.is_dir():
        remove(folder)
    folder.mkdir(exist_ok=True)


def remove_file(path: Path, *, missing_ok: bool = False) -> None:
    """Remove a file, or a link and not what it points to."""
    until_free(path, lambda: _or_without_mark(path, lambda: path.unlink(missing_ok=missing_ok)))


def remove_empty_folder(folder: Path, *, at_once: bool = False) -> None:
    """Remove a folder in which nothing is left; `at_once` without waiting for other programs."""
    if at_once:
        folder.rmdir()
    else:
        until_free(folder, folder.rmdir)


def remove_tree(folder: Path) -> None:
    """Remove a folder with all that is in it, one by one."""
    until_free(folder, lambda: _or_without_mark(folder, lambda: shutil.rmtree(folder)))


def _or_without_mark(path: Path, remove: Callable[[], None]) -> None:
    """Remove files also where they are marked as read-only, as copies from a memory card are: Windows removes none."""
    try:
        remove()
    except PermissionError:
        marked = [file for file in (path, *path.rglob("*")) if _is_marked(file)]
        if not marked:
            raise
        for file in marked:
            file.chmod(file.stat().st_mode | stat.S_IWUSR)
        remove()


def _is_marked(file: Path) -> bool:
    try:
        mode = file.lstat().st_mode
    except FileNotFoundError:
        return False
    return stat.S_ISREG(mode) and not mode & stat.S_IWUSR


def rename(source: Path, target: Path) -> None:
    """Rename a file or folder within a file system."""
    until_free(source, lambda: source.rename(target))


def link(source: Path, target: Path) -> None:
    """Give a file a second name, as a hard link.

    Raises:
        OSError: the file system has none.
    """
    until_free(source, lambda: _link(source, target))


def _link(source: Path, target: Path) -> None:
    try:
        os.link(source, target)
    except PermissionError as error:
        if error.errno == errno.EPERM:  # the file system has no links: link(2); waiting would not help
            raise OSError(errno.ENOTSUP, os.strerror(errno.ENOTSUP), str(source)) from error
        raise
