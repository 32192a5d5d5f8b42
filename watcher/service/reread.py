"""The settings file read again while the service is at work, once it has changed."""

from pathlib import Path

from watcher.errors import SettingsRefused
from watcher.service.shop import Shop
from watcher.settings.alignment import alignment_notes
from watcher.settings.load import load_settings
from watcher.settings.model import Settings


class Rereading:
    """Puts changed settings in force.

    Args:
        settings: as read at the start.
    """

    def __init__(self, settings: Settings) -> None:
        self._path = settings.path
        self._stamp = _stamp_of(self._path)

    def reload_if_changed(self, shop: Shop) -> None:
        """Take in a settings file that has changed; a bad change keeps the old settings and says so."""
        stamp = _stamp_of(self._path)
        if stamp is None or stamp == self._stamp:
            return  # a file that is gone says nothing: its drive may be
        self._stamp = stamp
        try:
            fresh = load_settings(self._path)
        except SettingsRefused as refused:
            shop.log.add(f"the settings were changed, but the old ones stay: {'; '.join(refused.faults)}")
            return
        if fresh.folders != shop.settings.folders:
            shop.log.add("the settings name other folders; stop and start the program for these")
            fresh = fresh.model_copy(update={"folders": shop.settings.folders})
        shop.settings = fresh
        shop.log.add("the settings were changed and are in force")
        log_alignment_notes(shop)


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
