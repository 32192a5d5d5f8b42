"""A print folder whose orders share sheets, and five cards of one kind to drop into it."""

import time
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest

from watcher.commands.at_work import service_for
from watcher.service.loop import Service
from watcher.settings.load import load_settings

Once = Callable[[Path], Service]
Draw = Callable[..., Path]

SETTINGS = """
[service]
quiet = "0 s"
events = "polling"
[cards.tag]
trim = "85 x 55 mm"
bleed = "3 mm"
sheet = "a4"
warn_ppi = 60
hold_ppi = 40
[sheets.a4]
size = "A4"
unprintable = "4 mm"
gang = true
printer = "office"
[printers.office]
flip = "long-edge"
"""
PX = (258, 173)  # 85 x 55 mm with 3 mm bleed at about 72 ppi
COLOURS = ("#c03030", "#30a040", "#3050c0", "#c0a020", "#8030a0")
NAMES = ("apple", "birch", "cedar", "daisy", "elder")


@pytest.fixture
def gang_shop(print_folder: Path) -> Path:
    """A print folder in which tags of different orders share a sheet."""
    (print_folder / "settings.toml").write_text(SETTINGS)
    return print_folder


@pytest.fixture
def drop_tag(draw_card: Draw) -> Callable[..., None]:
    """Drop a card whose front has one colour and whose back another."""

    def drop(shop: Path, name: str, colour: str = COLOURS[0], back: str = "#e0e0e0", **more: str) -> None:
        stem = name.partition("_x")[0]
        draw_card(shop / f"inbox/{name}_front.png", PX, colour, "F")
        draw_card(shop / f"inbox/{name}_back.png", PX, back, "B")
        lines = [f"{key} = {value}" for key, value in more.items()]
        if lines:
            (shop / f"inbox/{stem}.toml").write_text("\n".join(lines))

    return drop


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


def today() -> date:
    return datetime.now().astimezone().date()


def folders(shop: Path) -> list[str]:
    return sorted(path.name for path in (shop / "outbox").iterdir() if path.is_dir())


@pytest.fixture
def gang_made(gang_shop: Path, once: Once, drop_tag: Callable[..., None], made_once: Callable[..., Path]) -> Path:
    """A print folder with a run of five orders, no two sides of them alike."""

    def make() -> None:
        for number, (name, colour) in enumerate(zip(NAMES, COLOURS, strict=True)):
            drop_tag(gang_shop, f"{name}_x{2 if number else 1}", colour, COLOURS[number - 1])
        once(gang_shop)

    return made_once("a run of five", gang_shop, make)
