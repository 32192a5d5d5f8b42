"""What tests share: drawn cards, print folders in a temporary place, and a worker that needs no process."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import hypothesis
import pytest
from PIL import Image, ImageDraw

from watcher import pipeline
from watcher.intake.look import look_inside
from watcher.job import ArtCheck
from watcher.service import Service
from watcher.settings.load import load_settings
from watcher.workers import Answer, Look, answer_to

LONG = os.environ.get("PRINT_FOLDER_LONG") == "1"
# A busy machine makes no test fail, and what a single test does not set is short here.
hypothesis.settings.register_profile("ours", deadline=None, max_examples=1000 if LONG else 40)
hypothesis.settings.load_profile("ours")

SETTINGS = """
[service]
quiet = "0 s"
events = "polling"
[cards.invitation]
trim = "5 x 7 in"
bleed = "0.125 in"
sheet = "letter"
overs = "1 sheet"
warn_ppi = 60
hold_ppi = 40
[cards.tag]
trim = "85 x 55 mm"
bleed = "3 mm"
sides = 1
sheet = "a4"
warn_ppi = 60
hold_ppi = 40
[sheets.letter]
size = "letter"
printer = "office"
[sheets.a4]
size = "A4"
printer = "office"
[printers.office]
flip = "long-edge"
"""
# 5 x 7 in with 1/8 in bleed and 85 x 55 mm with 3 mm bleed at about 72 ppi: small, so that tests are quick
INVITATION_PX = (378, 522)
TAG_PX = (258, 173)


class InlineWorker:
    """Does a worker's work in the test's own process, at once; same attributes as `watcher.workers.Worker`."""

    pipe = None
    deadline = 0.0

    def __init__(self) -> None:
        self.task: Any = None
        self._answer: Answer | None = None

    @property
    def is_idle(self) -> bool:
        return self.task is None

    def start(self, task: Any, message: Any) -> None:
        self.task = task
        if isinstance(message, Look):
            self._answer = answer_to(look_inside, message.path)
        else:
            self._answer = answer_to(pipeline.check if isinstance(message, ArtCheck) else pipeline.make, message)

    def answer(self) -> Answer | None:
        answer, self._answer = self._answer, None
        return answer

    def stop(self) -> None:
        self.task = None


@pytest.fixture
def draw_card() -> Callable[..., Path]:
    """Draw art that is neither symmetric nor blank and save it; the ending decides the format."""

    def draw(path: Path, size: tuple[int, int] = INVITATION_PX, colour: str = "#d8e4ee", word: str = "A") -> Path:
        image = Image.new("RGB", size, colour)
        pen = ImageDraw.Draw(image)
        pen.rectangle([size[0] // 5, size[1] // 5, size[0] // 2, size[1] // 3], fill="#202860")
        pen.text((size[0] // 3, size[1] // 2), word, fill="black")
        path.parent.mkdir(parents=True, exist_ok=True)
        image.save(path)
        return path

    return draw


@pytest.fixture
def drop_pair(draw_card: Callable[..., Path]) -> Callable[..., None]:
    """Drop a front and a back into a folder."""

    def drop(folder: Path, name: str = "lantern", **drawing: Any) -> None:
        draw_card(folder / f"{name}_front.png", word="F", **drawing)
        draw_card(folder / f"{name}_back.png", word="B", **{"colour": "#eee4d8", **drawing})

    return drop


@pytest.fixture
def print_folder(tmp_path: Path) -> Path:
    """A print folder with the settings above and nothing in it."""
    folder = tmp_path / "shop"
    (folder / "inbox").mkdir(parents=True)
    (folder / "settings.toml").write_text(SETTINGS)
    return folder


@pytest.fixture
def inline_workers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make everything in the test's own process."""
    monkeypatch.setattr("watcher.cluster.Worker", InlineWorker)
    monkeypatch.setattr("watcher.checking.Worker", InlineWorker)


@pytest.fixture
def once(inline_workers: None) -> Callable[[Path], Service]:
    """Run `once` on a print folder with inline workers; gives the service that did it, stopped."""

    def run(folder: Path) -> Service:
        service = Service(load_settings(folder / "settings.toml"), once=True, to_screen=False)
        service.start()
        service.run()
        return service

    return run


@pytest.fixture
def names_in() -> Callable[[Path], list[str]]:
    """Everything below a folder but the state, as sorted paths."""

    def listing(folder: Path) -> list[str]:
        return sorted(
            str(path.relative_to(folder))
            for path in folder.rglob("*")
            if path.is_file() and "state" not in path.relative_to(folder).parts
        )

    return listing
