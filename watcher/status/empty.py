"""Tell at a glance that nothing lies in the inbox or in held; then nothing that reads orders there need be loaded."""

from pathlib import Path

from watcher.inbox.scan import scan
from watcher.settings.model import Settings


def nothing_waits(settings: Settings) -> bool:
    """Whether there is nothing in the inbox but the folders of cards, and nothing in held that could go with it.

    Raises:
        OSError: the inbox cannot be read.
    """
    seen = scan(settings.folders.inbox, settings.cards, lambda _folder: False)
    return not (seen.files or seen.folders or seen.refused) and is_empty(settings.folders.held)


def is_empty(folder: Path) -> bool:
    """Whether a folder is not there, or has nothing in it but what is hidden; not where it cannot be read."""
    try:
        names = [path.name for path in folder.iterdir()]
    except FileNotFoundError:
        return True
    except OSError:
        return False
    return all(name.startswith(".") for name in names)
