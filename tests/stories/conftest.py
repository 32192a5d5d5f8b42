"""What stories begin with."""

from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.service.loop import Service

Once = Callable[[Path], Service]
Drop = Callable[..., None]


@pytest.fixture
def made(print_folder: Path, once: Once, drop_pair: Drop) -> Path:
    """A print folder in which fifty lanterns have been made."""
    drop_pair(print_folder / "inbox", "lantern_x50")
    once(print_folder)
    return print_folder
