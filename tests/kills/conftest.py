"""What the kill tests share: a print folder on which a story is told."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from tests.conftest import INVITATION_PX, SETTINGS, InlineWorker
from tests.kills.killed import tell as tell_on
from tests.kills.stories import Story
from tests.small_pictures import show_nothing, tell_nothing
from watcher.commands.at_work import service_for
from watcher.settings.load import load_settings
from watcher.work.memory import give_back


def without_small_print(settings: str) -> str:
    """The settings without the small print at the edge of a sheet, which takes time and says nothing about kills."""
    return settings.replace('size = "letter"', 'size = "letter"\nslug = false')


@pytest.fixture(autouse=True, scope="module")
def small_process() -> None:
    """What other tests have left free goes back to the system: a fork copies the tables of all memory that is held."""
    give_back()


@pytest.fixture(scope="session")
def warmed(tmp_path_factory: pytest.TempPathFactory) -> None:
    """An order is made once here: what is loaded on its way, each child that makes one would load anew."""
    folder = tmp_path_factory.mktemp("warm")
    (folder / "inbox").mkdir()
    (folder / "settings.toml").write_text(without_small_print(SETTINGS))
    for side in ("front", "back"):
        Image.linear_gradient("L").resize(INVITATION_PX).convert("RGB").save(folder / f"inbox/warm_{side}.png")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("watcher.work.workers.LocalWorker", InlineWorker)
        service = service_for(load_settings(folder / "settings.toml"), once=True, to_screen=False)
        service.start()
        service.run()
    assert service.making.made == 1


@pytest.fixture
def quick_kills(monkeypatch: pytest.MonkeyPatch, nothing_flushed: None) -> None:
    """Pictures and instructions, which take most of the time, say nothing about kills."""
    show_nothing(monkeypatch)
    tell_nothing(monkeypatch)


@pytest.fixture
def calls_command(print_folder: Path, say_yes: Callable[[Path], None]) -> None:
    """A command after each order, which writes its name down."""
    file = print_folder / "settings.toml"
    told = print_folder.parent / "told"
    command = f"""on_finished = ["sh", "-c", 'echo "$1" >>"$2"', "sh", "{{order}}", "{told}"]"""
    file.write_text(without_small_print(file.read_text()).replace("[service]", f"[service]\n{command}"))
    say_yes(print_folder)


@pytest.fixture
def tell(
    print_folder: Path,
    warmed: None,
    inline_workers: None,
    quick_kills: None,
    calls_command: None,
    draw_card: Callable[..., Path],
) -> Callable[[type[Story]], Story]:
    """Tell a story on the print folder up to the moment of the kill."""
    return lambda story: tell_on(story, print_folder, draw_card)
