"""The settings of a print folder whose orders share sheets, and five cards of one kind to drop into it."""

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

from watcher.service.loop import Service

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


def today() -> date:
    return datetime.now().astimezone().date()


def folders(shop: Path) -> list[str]:
    return sorted(path.name for path in (shop / "outbox").iterdir() if path.is_dir())
