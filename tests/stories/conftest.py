"""What stories begin with."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.long_form import LONG
from tests.small_pictures import show_cards_small, show_nothing, tell_nothing
from watcher.service.loop import Service

Once = Callable[[Path], Service]
Drop = Callable[..., None]
MadeOnce = Callable[[str, Path, Callable[[], object]], Path]


@pytest.fixture(autouse=True)
def _small_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    show_cards_small(monkeypatch)


@pytest.fixture
def nothing_by_sight(print_folder: Path) -> None:
    """The settings of the print folder ask for no check by sight and no pictures: the stories of a file need none."""
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace("[service]", "[service]\nread_back = false"))


@pytest.fixture
def all_shown() -> None:
    """Asks for the check by sight, pictures and instructions, in stories that are about them."""


@pytest.fixture(autouse=True)
def _nothing_shown(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> None:
    """No sheet is looked at by sight, and pictures and instructions are empty, unless a story asks for `all_shown`.

    In the long form they are there in all stories.
    """
    if not LONG and "all_shown" not in request.fixturenames:
        show_nothing(monkeypatch)
        tell_nothing(monkeypatch)


@pytest.fixture(scope="session")
def kept_folders(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where print folders are kept with which many stories begin."""
    return tmp_path_factory.mktemp("kept")


@pytest.fixture
def made_once(kept_folders: Path, request: pytest.FixtureRequest) -> MadeOnce:
    """Have a print folder as `make` leaves it: made by the first test that asks for its name, copied for all others."""

    def have(name: str, folder: Path, make: Callable[[], object]) -> Path:
        kept = kept_folders / (f"{name}, shown" if "all_shown" in request.fixturenames else name)
        if kept.exists():
            shutil.rmtree(folder)
            shutil.copytree(kept, folder, symlinks=True)
        else:
            make()
            shutil.copytree(folder, kept, symlinks=True)
        return folder

    return have


@pytest.fixture
def made(print_folder: Path, once: Once, drop_pair: Drop, made_once: MadeOnce) -> Path:
    """A print folder in which fifty lanterns have been made."""

    def make() -> None:
        drop_pair(print_folder / "inbox", "lantern_x50")
        once(print_folder)

    return made_once("fifty lanterns", print_folder, make)
