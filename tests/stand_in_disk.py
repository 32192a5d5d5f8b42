"""A stand-in for the file system of Windows: below one folder the calls of the system behave as they do there.

Names are found in any case. Reserved words, signs that Windows refuses, a dot or a space at the end and paths of more
than 240 signs cannot be made. A file or folder that is open, in this process or in another program, can be neither
moved nor removed; a rename never replaces. Source: "Naming Files, Paths, and Namespaces" and the pages of MoveFileEx,
DeleteFile and CreateFile in the documentation of Windows; the rest of it is not imitated.
"""

import builtins
import errno
import io
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from watcher.disk import in_use, names

MOST_SIGNS = 240
RESERVED = {"con", "prn", "aux", "nul", "conin$", "conout$"}
RESERVED |= {f"{port}{number}" for port in ("com", "lpt") for number in (*"0123456789", "\u00b9", "\u00b2", "\u00b3")}
REFUSED_SIGNS = set('<>:"/\\|?*') | {chr(code) for code in range(32)}

_ONE_PATH = ("stat", "lstat", "listdir", "scandir", "rmdir", "unlink", "remove", "chmod", "utime", "access", "readlink")
_REMOVING = {"rmdir", "unlink", "remove"}


def refuses(name: str) -> bool:
    """Whether Windows takes no file of this name."""
    word = name.partition(".")[0].rstrip(" ").casefold()
    return bool(REFUSED_SIGNS.intersection(name)) or name.endswith((" ", ".")) or word in RESERVED


class StandIn:
    """The calls of the system, as they behave on Windows below `root`.

    Attributes:
        refused: every path that was asked for in vain, because of its name or its length.
        slept: how long files in use have been waited for, s; no time passes for it.
    """

    def __init__(self, root: Path, patch: pytest.MonkeyPatch) -> None:
        self.root = str(root)
        self.refused: list[str] = []
        self.slept = 0.0
        self._held: dict[str, float] = {}
        self._lstat, self._listdir, self._readlink = os.lstat, os.listdir, os.readlink
        for name in _ONE_PATH:
            patch.setattr(os, name, self._one(name, getattr(os, name)))
        for name in ("rename", "replace", "link"):
            patch.setattr(os, name, self._two(name, getattr(os, name)))
        patch.setattr(os, "mkdir", self._making(os.mkdir))
        patch.setattr(os, "open", self._making(os.open))
        opening = self._opening(io.open)
        patch.setattr(io, "open", opening)
        patch.setattr(builtins, "open", opening)
        patch.setattr(shutil, "_use_fd_functions", False)  # there are none on Windows
        patch.setattr(names, "MOST_PATH_SIGNS", MOST_SIGNS)
        patch.setattr(in_use, "waiting", in_use.Waiting(lambda: self.slept, self._sleep))

    def hold_open(self, path: Path, seconds: float = float("inf")) -> None:
        """Have another program open a file, for so long as it is waited for."""
        self._held[self._place(str(path))] = self.slept + seconds

    def let_go(self) -> None:
        """The other program has ended."""
        self._held.clear()

    def _sleep(self, seconds: float) -> None:
        self.slept += seconds

    # -- paths -----------------------------------------------------------------------------------------------------

    def _is_ours(self, path: Any) -> bool:
        return isinstance(path, str | os.PathLike) and os.fspath(path).startswith(self.root + "/")

    def _place(self, path: str) -> str:
        """Where the file of a name lies: found in any case."""
        place = self.root
        for part in path.removeprefix(self.root).strip("/").split("/"):
            place = f"{place}/{self._found(place, part)}"
        return place

    def _found(self, folder: str, name: str) -> str:
        try:
            there = self._listdir(folder)
        except OSError:
            return name
        return name if name in there else next((one for one in there if one.casefold() == name.casefold()), name)

    def _is_there(self, place: str) -> bool:
        try:
            self._lstat(place)
        except OSError:
            return False
        return True

    def _check_new(self, path: str, place: str) -> None:
        """Whether something may be made there.

        Raises:
            OSError: with the number that Python gives it on Windows.
        """
        if len(path) > MOST_SIGNS:
            self.refused.append(path)
            raise FileNotFoundError(errno.ENOENT, "The system cannot find the path specified", path)
        if not self._is_there(place) and refuses(Path(path).name):
            self.refused.append(path)
            raise OSError(errno.EINVAL, "The filename, directory name, or volume label syntax is incorrect", path)

    def _check_free(self, path: str, place: str) -> None:
        """Whether nobody has it open, nor anything in it.

        Raises:
            PermissionError: somebody has.
        """
        held = [one for one, until in self._held.items() if self.slept < until]
        if any(one == place or one.startswith(place + "/") for one in (*held, *self._open_here())):
            raise PermissionError(errno.EACCES, "The process cannot access the file", path)

    def _open_here(self) -> Iterator[str]:
        """What this process has open, but for the folders that are only looked through."""
        for handle in self._listdir("/proc/self/fd"):
            try:
                place = self._readlink(f"/proc/self/fd/{handle}")
            except OSError:
                continue
            if place.startswith(self.root + "/") and not Path(place).is_dir():
                yield place

    # -- calls -----------------------------------------------------------------------------------------------------

    def _one(self, name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def one(path: Any = ".", *more: Any, **named: Any) -> Any:
            if not self._is_ours(path):
                return call(path, *more, **named)
            place = self._place(os.fspath(path))
            if name in _REMOVING and self._is_there(place):
                self._check_free(os.fspath(path), place)
            return call(place, *more, **named)

        return one

    def _two(self, name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def two(source: Any, target: Any, **named: Any) -> Any:
            if not (self._is_ours(source) and self._is_ours(target)):
                return call(source, target, **named)
            paths = [os.fspath(source), os.fspath(target)]
            places = [self._place(path) for path in paths]
            self._check_new(paths[1], places[1])
            is_taken = self._is_there(places[1]) and places[0] != places[1]
            if is_taken and name != "replace":
                raise FileExistsError(errno.EEXIST, "Cannot create a file when that file already exists", *paths[:1])
            for path, place in zip(paths, places, strict=True):
                if self._is_there(place):
                    self._check_free(path, place)
            new = places[1] if is_taken else str(Path(places[1]).with_name(Path(paths[1]).name))
            return call(places[0], new, **named)

        return two

    def _making(self, call: Callable[..., Any]) -> Callable[..., Any]:
        """os.mkdir and os.open, whose first argument may be something new."""

        def making(path: Any, *more: Any, **named: Any) -> Any:
            if not self._is_ours(path):
                return call(path, *more, **named)
            place = self._place(os.fspath(path))
            if call.__name__ == "mkdir" or (more and more[0] & os.O_CREAT):
                self._check_new(os.fspath(path), place)
            return call(place, *more, **named)

        return making

    def _opening(self, call: Callable[..., Any]) -> Callable[..., Any]:
        def opening(file: Any, mode: str = "r", *more: Any, **named: Any) -> Any:
            if not self._is_ours(file):
                return call(file, mode, *more, **named)
            place = self._place(os.fspath(file))
            if not mode.startswith("r"):
                self._check_new(os.fspath(file), place)
            return call(place, mode, *more, **named)

        return opening
