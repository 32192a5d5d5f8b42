"""A print folder whose orders share sheets, alone, at work, and with a run of five in it."""

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.stories.gang.a_gang import COLOURS, NAMES, PX, SETTINGS, Draw, Once
from watcher.commands.at_work import service_for
from watcher.service.loop import Service
from watcher.settings.load import load_settings


@pytest.fixture
def shop(print_folder: Path) -> Path:
    """A print folder in which tags of different orders share a sheet."""
    (print_folder / "settings.toml").write_text(SETTINGS)
    return print_folder


@pytest.fixture
def drop(draw_card: Draw) -> Callable[..., None]:
    """Drop a card whose front has one colour and whose back another."""

    def drop_one(shop: Path, name: str, colour: str = COLOURS[0], back: str = "#e0e0e0", **more: str) -> None:
        stem = name.partition("_x")[0]
        draw_card(shop / f"inbox/{name}_front.png", PX, colour, "F")
        draw_card(shop / f"inbox/{name}_back.png", PX, back, "B")
        lines = [f"{key} = {value}" for key, value in more.items()]
        if lines:
            (shop / f"inbox/{stem}.toml").write_text("\n".join(lines))

    return drop_one


@pytest.fixture
def serve(inline_workers: None) -> Callable[[Path], Service]:
    """Let the service look until nothing is left to do now; gives it, still at work."""

    def serve(shop: Path, service: Service | None = None) -> Service:
        if service is None:
            service = service_for(load_settings(shop / "settings.toml"), once=False, to_screen=False)
            service.start()
        service._look_at = 0.0
        for _ in range(40):
            service.step(time.monotonic())
        return service

    return serve


@pytest.fixture
def made(shop: Path, once: Once, drop: Callable[..., None], made_once: Callable[..., Path]) -> Path:
    """A print folder with a run of five orders, no two sides of them alike."""

    def make() -> None:
        for number, (name, colour) in enumerate(zip(NAMES, COLOURS, strict=True)):
            drop(shop, f"{name}_x{2 if number else 1}", colour, COLOURS[number - 1])
        once(shop)

    return made_once("a run of five", shop, make)
