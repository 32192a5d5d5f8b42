"""The folder `state` of a service at work: lock, journal and log, and all of it again when somebody has deleted it."""

import sqlite3
from typing import IO

from loguru import logger

from watcher.archive.rebuild_journal import open_or_rebuild
from watcher.archive.rebuilding import Rebuilding
from watcher.errors import ServiceStopped
from watcher.orders.recover import highest_number
from watcher.records.journal import Journal, JournalTrouble
from watcher.records.local_disk import network_kind
from watcher.records.log import set_up_service_log
from watcher.records.timestamps import local_now
from watcher.records.trouble import say_trouble
from watcher.service.claiming import Claiming
from watcher.service.lock import take_lock
from watcher.service.shop import Shop
from watcher.settings.folders import FolderSettings


class StateFolder:
    """What a service keeps open in `state`.

    Args:
        folders: of the print folder.
        to_screen: whether the service log is also shown on standard error.
    """

    def __init__(self, folders: FolderSettings, *, to_screen: bool) -> None:
        self._folders, self._to_screen = folders, to_screen
        self._lock: IO[str] | None = None

    def open(self) -> Journal:
        """Take the lock and open the journal, made again from the folders where it is lost; begin the service log.

        Raises:
            ServiceStopped: the folder lies on a network drive, or another instance is at work.
            OSError: it cannot be used.
            sqlite3.Error: the journal cannot.
        """
        self._lock = take_lock(self._folders.state)
        return self._open_journal(highest_number(self._folders.archive) + 1)

    def close(self) -> None:
        """Give up the lock."""
        if self._lock is not None:
            self._lock.close()

    def _open_journal(self, first_number: int) -> Journal:
        """The journal, numbered from there on if it must be made again, and the service's own log beside it."""
        folders = self._folders
        kind = network_kind(folders.state)
        if kind is not None:
            raise ServiceStopped(
                f"The folder state ({folders.state}) lies on a network drive ({kind}), where the notes of what was made"
                " can be damaged. Set [folders] state to a path on this computer's own disk."
            )
        set_up_service_log(folders.state, to_screen=self._to_screen)
        stamp = f"{local_now():%Y-%m-%dT%H:%M:%S}"
        return open_or_rebuild(folders.state, folders.archive, folders.held, stamp, first_number)

    def mind_the_journal(self, shop: Shop, claiming: Claiming) -> None:
        """Make it again when somebody has deleted or damaged it; its folder may have gone with it, and the lock.

        Raises:
            OSError: it cannot be made now.
            AlreadyRunning: without the lock that was deleted, another instance has begun its work.
        """
        shop.roots.check()
        if shop.journal.is_well():
            return
        self.close()
        self._lock = take_lock(shop.state)
        shop.journal.close()
        shop.rebuilding.close()
        try:
            shop.journal = self._open_journal(claiming.next_number)
            shop.rebuilding = Rebuilding(shop.journal, shop.settings.folders)
        except sqlite3.Error as error:
            raise JournalTrouble(f"the notes of what was made cannot be written: {error}") from error
        claiming.next_number = max(claiming.next_number, shop.journal.last_number() + 1)
        logger.error("the notes of what was made were deleted or damaged; they were made again from the folders")

    def mind(self, shop: Shop, claiming: Claiming) -> None:
        """Make the folder again when somebody has deleted it, with what is in it, and go on."""
        try:
            if shop.roots.make_state_again():
                self.mind_the_journal(shop, claiming)
                shop.log.add("the folder state was deleted while the program was running; it was made again")
        except OSError as error:
            logger.warning("the folder state cannot be made again: {why}", why=say_trouble(error))
