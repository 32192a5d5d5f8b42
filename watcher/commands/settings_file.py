"""Find and read the settings that a command works with."""

from pathlib import Path
from typing import TYPE_CHECKING

from watcher.commands.options import NAME
from watcher.errors import WrongUsage

if TYPE_CHECKING:
    from watcher.settings.model import Settings


def load(path: Path | None) -> "Settings":
    """Read the settings.

    Args:
        path: the file; None: `settings.toml` here, else in `print-folder` in the home folder.

    Raises:
        WrongUsage: there is none.
        SettingsRefused: it has faults.
    """
    from watcher.settings.load import load_settings

    if path is not None:
        return load_settings(path)
    here, home = Path("settings.toml"), Path.home() / "print-folder" / "settings.toml"
    if not here.exists() and not home.exists():
        raise WrongUsage(
            f"There is no settings.toml here and none in {home.parent}. Make a print folder with: {NAME} init DIR"
        )
    return load_settings(here if here.exists() else home)
