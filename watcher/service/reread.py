"""The settings file read again while the service is at work, once it has changed, and what waits for a yes."""

from pathlib import Path

from watcher.errors import SettingsRefused
from watcher.service.shop import Shop
from watcher.settings.alignment import alignment_notes
from watcher.settings.load import load_settings
from watcher.settings.model import Settings
from watcher.settings.trusted import NotTrusted, check_places, trust_notes


class Rereading:
    """Puts changed settings in force, unless they have faults or lead to where nobody has said yes to.

    Args:
        settings: as read at the start.

    Attributes:
        notes: what people should know of settings that are not in force, or not in all.
    """

    def __init__(self, settings: Settings) -> None:
        self._path = settings.path
        self._stamp = _stamp_of(self._path)
        self._wanting: Settings | None = None  # they are put in force once somebody has said yes
        self._refused: str | None = None
        self.notes: tuple[str, ...] = ()

    def reload_if_changed(self, shop: Shop) -> None:
        """Take in a settings file that has changed; a bad change keeps the old settings and says so."""
        stamp = _stamp_of(self._path)
        if stamp is not None and stamp != self._stamp:  # a file that is gone says nothing: its drive may be
            self._stamp = stamp
            self._read(shop)
        elif self._wanting is not None:
            self._put_in_force(self._wanting, shop)
        self.mind_trust(shop)

    def mind_trust(self, shop: Shop) -> None:
        """Tell the log for people of each thing that newly waits for a yes."""
        notes = trust_notes(shop.settings)
        for note in notes:
            if note not in self.notes:
                shop.log.add(note)
        self.notes = (*([self._refused] if self._refused else []), *notes)

    def _read(self, shop: Shop) -> None:
        try:
            fresh = load_settings(self._path)
        except SettingsRefused as refused:
            self._refuse("; ".join(refused.faults), shop)
            self._wanting = None
            return
        self._put_in_force(fresh, shop)

    def _put_in_force(self, fresh: Settings, shop: Shop) -> None:
        try:
            check_places(fresh)
        except NotTrusted as error:
            self._wanting = fresh
            self._refuse(error.short, shop)
            return
        self._wanting = self._refused = None
        if fresh.folders != shop.settings.folders:
            shop.log.add("the settings name other folders; stop and start the program for these")
            fresh = fresh.model_copy(update={"folders": shop.settings.folders})
        shop.settings = fresh
        shop.log.add("the settings were changed and are in force")
        log_alignment_notes(shop)

    def _refuse(self, why: str, shop: Shop) -> None:
        refused = f"The settings were changed, but the old ones stay: {why}"
        if refused != self._refused:
            shop.log.add(refused[0].lower() + refused[1:])
        self._refused = refused


def log_alignment_notes(shop: Shop) -> None:
    """Tell the log for people what is wrong with alignment.toml, or that it is old."""
    for note in alignment_notes(shop.settings, shop.now()):
        shop.log.add(note)


def _stamp_of(path: Path) -> tuple[int, int] | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_mtime_ns, status.st_size
