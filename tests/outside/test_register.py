"""Do the backs lie behind their fronts, the right way up? Measured on the finished PDF, rendered by pdfium at 300 ppi.

The back page is turned over in software as the printer turns the paper: about the vertical axis when a portrait sheet
is flipped on its long edge or a landscape one on its short edge, else about the horizontal axis (RFC 8011 5.2.8; the
same in three dimensions in test_backs.py). What then shows through at each corner of each front must be the corner of
the back that lies there on a real card: a card turned like a book page shows its back upright when it is head-to-head,
and upside down when it is head-to-toe.
"""

import tomllib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageDraw

from tests.long_form import LONG
from watcher.service.loop import Service

PPI = 300
PX_PER_MM = PPI / 25.4
CORNER_MM = 4
# top left, top right, bottom left, bottom right: of the art as it is read
FRONT = ("#e00000", "#00a000", "#0000e0", "#e0a000")
BACK = ("#00a0a0", "#a000a0", "#606060", "#302010")

SETTINGS = """
[service]
quiet = "0 s"
read_back = false
events = "polling"
[cards.card]
trim = "{trim}"
bleed = "3 mm"
sheet = "paper"
backs = "{backs}"
warn_ppi = 60
hold_ppi = 50
[sheets.paper]
size = "{size}"
unprintable = ["5 mm", "4 mm", "9 mm", "7 mm"]
printer = "office"
[printers.office]
flip = "{flip}"
"""


def draw_corners(path: Path, width_mm: float, height_mm: float, colours: tuple[str, ...]) -> None:
    """Art with 3 mm bleed whose trim has a block of its own colour in each corner, filling the bleed beyond it too."""
    scale = 100 / 25.4
    width, height = round((width_mm + 6) * scale), round((height_mm + 6) * scale)
    image = Image.new("RGB", (width, height), "white")
    pen = ImageDraw.Draw(image)
    block = round((3 + CORNER_MM) * scale)
    for colour, left, top in zip(colours, (0, 1, 0, 1), (0, 0, 1, 1), strict=True):
        x, y = (width - block) * left, (height - block) * top
        pen.rectangle([x, y, x + block - 1, y + block - 1], fill=colour)
    image.save(path)


def render(pdf: Path, page: int) -> np.ndarray:
    document = pypdfium2.PdfDocument(pdf)
    try:
        return np.asarray(document[page].render(scale=PPI / 72, rev_byteorder=True).to_numpy())[:, :, :3].copy()
    finally:
        document.close()


def colour_at(page: np.ndarray, x_mm: float, y_mm: float) -> tuple[int, ...]:
    return tuple(int(value) for value in page[page.shape[0] - 1 - round(y_mm * PX_PER_MM), round(x_mm * PX_PER_MM)])


def rgb(colour: str) -> tuple[int, ...]:
    return tuple(int(colour[place : place + 2], 16) for place in (1, 3, 5))


def corners(left: float, bottom: float, width: float, height: float, inset: float) -> dict[str, tuple[float, float]]:
    right, top = left + width, bottom + height
    return {
        "tl": (left + inset, top - inset),
        "tr": (right - inset, top - inset),
        "bl": (left + inset, bottom + inset),
        "br": (right - inset, bottom + inset),
    }


# Where a corner of the card as it is read lands on the page when the card is turned counter-clockwise.
TURNED = {
    0: {"tl": "tl", "tr": "tr", "bl": "bl", "br": "br"},
    90: {"tl": "bl", "tr": "tl", "bl": "br", "br": "tr"},
}
NAMES = ("tl", "tr", "bl", "br")
MIRRORED = {"tl": "tr", "tr": "tl", "bl": "br", "br": "bl"}
UPSIDE_DOWN = {"tl": "bl", "tr": "br", "bl": "tl", "br": "tr"}


SHEETS = [
    ("210 x 297 mm", "85 x 55 mm"),
    ("297 x 210 mm", "85 x 55 mm"),
    ("8.5 x 11 in", "4 x 5 in"),
    ("11 x 8.5 in", "90 x 50 mm"),
    ("250 x 250 mm", "70 x 100 mm"),
]
WAYS = (
    [("long-edge", "head-to-head"), ("short-edge", "head-to-toe")],
    [("long-edge", "head-to-toe"), ("short-edge", "head-to-head")],
)
# The short form has two of the four ways for each sheet: an upright and a lying one, and what follows, take turns.
CASES = [
    (*sheet, *way) for number, sheet in enumerate(SHEETS) for way in (WAYS[0] + WAYS[1] if LONG else WAYS[number % 2])
]


@pytest.mark.parametrize(("size", "trim", "flip", "backs"), CASES)
def test_every_corner_of_every_back_lies_behind_the_right_corner_of_its_front(
    tmp_path: Path, once: Callable[[Path], Service], size: str, trim: str, flip: str, backs: str
) -> None:
    (tmp_path / "inbox").mkdir()
    (tmp_path / "settings.toml").write_text(SETTINGS.format(size=size, trim=trim, flip=flip, backs=backs))
    scale = 25.4 if trim.endswith("in") else 1.0
    width, height = (float(value) * scale for value in trim[:-3].split(" x "))
    draw_corners(tmp_path / "inbox/a_front.png", width, height, FRONT)
    draw_corners(tmp_path / "inbox/a_back.png", width, height, BACK)
    service = once(tmp_path)
    assert service.making.made == 1, service.shop.log.written

    ticket = tomllib.loads((tmp_path / "outbox/a/a_ticket.toml").read_text())
    front, back = (render(tmp_path / "outbox/a/a_sheets.pdf", page) for page in (0, 1))
    portrait = ticket["sheet"]["width_mm"] <= ticket["sheet"]["height_mm"]
    vertical_axis = portrait == (flip == "long-edge")
    through = back[:, ::-1] if vertical_axis else back[::-1]
    assert len(ticket["places"]) >= 2
    for place in ticket["places"]:
        across, up = (width, height) if place["turn"] == 0 else (height, width)
        # 0.3 mm inside the outermost corner of the block, and the same inside its far edges: off by more is seen
        for inset in (0.3, CORNER_MM - 0.3):
            spots = corners(place["x_mm"], place["y_mm"], across, up, inset)
            for name, colour in zip(NAMES, FRONT, strict=True):
                assert colour_at(front, *spots[TURNED[place["turn"]][name]]) == rgb(colour), ("front", place, name)
            for name, colour in zip(NAMES, BACK, strict=True):
                behind = MIRRORED[name] if backs == "head-to-head" else UPSIDE_DOWN[name]
                spot = spots[TURNED[place["turn"]][behind]]
                assert colour_at(through, *spot) == rgb(colour), ("back", place, name)
