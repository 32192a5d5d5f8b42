"""The folders of the print folder as they were at the start: a missing one is never taken for an empty one."""

import os
from pathlib import Path

from watcher.records.plain_text import one_line
from watcher.records.trouble import FolderGone
from watcher.settings.folders import FolderSettings


class Roots:
    """The folders of the print folder as they were at the start.

    A folder that is missing is never taken for an empty one and never made anew: its drive may come back, and what was
    written below the place where it belongs would vanish under it.

    Args:
        folders: of the settings.
    """

    def __init__(self, folders: FolderSettings) -> None:
        self._folders = {name: getattr(folders, name) for name in ("inbox", "outbox", "held", "archive", "state")}
        self._ends = {name: os.path.realpath(folder) for name, folder in self._folders.items()}
        self._drives = {name for name, folder in self._folders.items() if _is_drive(folder)}
        self._disk_of_state = _disk(folders.state.parent)

    def check(self) -> None:
        """Make sure that all of them are there.

        Raises:
            FolderGone: one is not; the message says which.
        """
        for name in self._folders:
            why = self._why_gone(name)
            if why is not None:
                raise FolderGone(why)

    def make_state_again(self) -> bool:
        """Make the folder `state` again when somebody has deleted it, and tell whether it was made.

        No other folder can be made again from the rest. Where `state` may be a drive that is not there, or lie on one,
        it is not made.

        Raises:
            OSError: it cannot be made now.
        """
        state = self._folders["state"]
        if os.path.lexists(state) or "state" in self._drives or _disk(state.parent) != self._disk_of_state:
            return False
        state.mkdir()
        return True

    def are_there(self) -> bool:
        """Whether all of them are there."""
        return all(self._why_gone(name) is None for name in self._folders)

    def has_outbox(self) -> bool:
        """Whether the outbox is there."""
        return self._why_gone("outbox") is None

    def _why_gone(self, name: str) -> str | None:
        folder = self._folders[name]
        shown = one_line(str(folder))
        if not folder.is_dir():
            return f"the folder {name} is missing ({shown}). Put it back, or connect its drive"
        if name in self._drives and not _is_drive(folder):
            return f"the drive of the folder {name} is not there ({shown}). Connect it again"
        if os.path.realpath(folder) != self._ends[name]:
            return f"the folder {name} leads to another place than at the start ({shown}). Put it back, or start again"
        return None


def _disk(folder: Path) -> int | None:
    """Which disk a folder lies on; None when it is not there."""
    try:
        return folder.stat().st_dev
    except OSError:
        return None


def _is_drive(folder: Path) -> bool:
    """Whether another disk begins at this folder; a link to it is followed."""
    try:
        return os.path.ismount(os.path.realpath(folder))
    except OSError:
        return False
