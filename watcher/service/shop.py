"""What the parts of the service share: settings in force, folders, journal, log, pauses and the clock on the wall."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from watcher.archive.rebuilding import Rebuilding
from watcher.records.journal import Journal
from watcher.records.log import EventLog
from watcher.records.plain_text import hide_places
from watcher.records.timestamps import local_now
from watcher.service.pauses import Pauses
from watcher.service.roots import Roots
from watcher.settings.model import Settings
from watcher.settings.trust import paths_in


@dataclass(kw_only=True)
class Shop:
    """One print folder at work. Only `settings` is replaced later, when the file has changed.

    Attributes:
        settings: in force now; its folders stay those of the start.
        journal: the service's memory.
        log: the plain log in the outbox.
        roots: whether the folders are there.
        pauses: why the service waits, when it does.
        rebuilding: brings back what a lost journal knew.
        now: gives the local time.
        on_made: is told the folder in the outbox of each order or run that was made.
    """

    settings: Settings
    journal: Journal
    log: EventLog
    roots: Roots
    pauses: Pauses
    rebuilding: Rebuilding
    now: Callable[[], datetime] = local_now
    on_made: Callable[[str], None] = lambda _folder: None

    @property
    def inbox(self) -> Path:
        """Where art is dropped."""
        return self.settings.folders.inbox

    @property
    def taken_from(self) -> tuple[Path, Path]:
        """Where files are taken from, and to where they go back: inbox and held."""
        return self.settings.folders.inbox, self.settings.folders.held

    @property
    def outbox(self) -> Path:
        """Where finished orders appear."""
        return self.settings.folders.outbox

    @property
    def held(self) -> Path:
        """Where orders lie that cannot be made."""
        return self.settings.folders.held

    @property
    def archive(self) -> Path:
        """Where art is kept."""
        return self.settings.folders.archive

    @property
    def state(self) -> Path:
        """Where journal, lock and service log lie."""
        return self.settings.folders.state

    def public(self, text: str) -> str:
        """The text as others than the owner may read it: without the names of folders above the print folder."""
        return hide_places(text, self.settings.folder, paths_in(self.settings))

    def stamp(self) -> str:
        """Now, ISO 8601 with offset, to the second."""
        return self.now().isoformat(timespec="seconds")
