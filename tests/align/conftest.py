"""What the align tests share: a shop with its printers, and a made-up scanner for sheets printed by a made-up printer.

The scanner works by plain image warping (Pillow) from pages rendered by pdfium, and knows nothing of how marks are
found.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageFilter

from tests.a_shop import PRINTERS
from tests.align.a_conversation import converse, write
from tests.long_form import LONG
from watcher.align.dialogue import Dialogue
from watcher.align.pages import sheet_files
from watcher.align.register import target_sheet
from watcher.align.register.scan_file import Scan
from watcher.align.register.target import Target, place_target
from watcher.align.session import Session, open_session
from watcher.layout.register.alignment import Correction
from watcher.settings.load import load_settings
from watcher.settings.model import Settings

__all__ = ["converse", "write"]  # for all tests of this room

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
RENDER_PPI = 600 if LONG else 400
TONER_SPREAD_MM = 0.034  # which also leaves no aliasing
SHADOW_MM = 0.6


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A print folder with a laser printer fed by hand and a press that turns sheets itself."""
    (tmp_path / "settings.toml").write_text(PRINTERS)
    return tmp_path


@pytest.fixture
def settings(shop: Path) -> Settings:
    return load_settings(shop / "settings.toml")


@pytest.fixture
def said() -> list[str]:
    """What a session said."""
    return []


@pytest.fixture
def open_now(shop: Path, said: list[str]) -> Callable[[str, str], Session]:
    """A session on a printer and sheet with the settings as they are in the file now; `said` takes what it says."""

    def opened(printer: str, sheet: str) -> Session:
        dialogue = Dialogue(say=said.append, listen=input)
        return open_session(load_settings(shop / "settings.toml"), printer, sheet, dialogue, NOON)

    return opened


@pytest.fixture
def target(settings: Settings) -> Callable[[str], Target]:
    """The register target of a sheet of the shop."""

    def of(sheet_name: str) -> Target:
        sheet = settings.sheets[sheet_name]
        return place_target(sheet, settings.printer_for(sheet))

    return of


@dataclass(frozen=True, kw_only=True)
class Placing:
    """A sheet on the glass: turned (degrees), pushed (mm), the scanner's axes stretched, the grey of what is behind."""

    turn: float = 0.0
    right: float = 8.0
    up: float = 6.0
    stretch: tuple[float, float] = (1.0, 1.0)
    ground: float = 40.0
    blur: float = 0.8
    noise: float = 3.0
    ppi: float = 300.0
    shine: float = 0.08
    shadow: float = 0.0  # along the edges of the paper, on the lid behind it


class Printed:
    """A target printed by a printer with known faults, on paper of its own outline, ready to be scanned.

    Coordinates are mm of the front page as it is read; the sheet's true outline is four corners in these.

    Args:
        settings, sheet_name: which target.
        true: 2 x 3 affine, back page mm: where a page would have to be drawn to land right (what a pin reads at p is
            `true(p) - p`).
        front: 2 x 3 affine: what the printer does to the front page.
        outline: corners lower left, lower right, upper right, upper left.
        proof: the correction that it is printed with, for a proof.
        run: of the files.
        ink: how dark the toner is, 0 to 1.
    """

    def __init__(
        self,
        settings: Settings,
        sheet_name: str,
        true: Any,
        front: Any,
        outline: Any,
        proof: Correction | None = None,
        run: int = 0,
        ink: float = 1.0,
    ) -> None:
        sheet = settings.sheets[sheet_name]
        printer = settings.printer_for(sheet)
        self.target = place_target(sheet, printer)
        self.size = np.array([float(sheet.size.width), float(sheet.size.height)])
        self.outline = np.asarray(outline, dtype=float)
        self.true, self.front = _square(true), _square(front)
        # RFC 8011 5.2.8: flipped on the long edge of a portrait sheet (or the short one of a landscape) like a book
        # page
        upright = (printer.flip == "long-edge") == (self.size[0] <= self.size[1])
        self.mirror = (
            np.array([[-1, 0, self.size[0]], [0, 1, 0], [0, 0, 1.0]])
            if upright
            else np.array([[1, 0, 0], [0, -1, self.size[1]], [0, 0, 1.0]])
        )
        key = (repr((self.target, printer, sheet, proof, run)), target_sheet._label)  # which a test may take away
        if key not in _DRAWN:
            drawn = target_sheet.target_pages(self.target, printer, sheet, (proof, "today") if proof else None, run=run)
            _DRAWN[key] = tuple(sheet_files(drawn).values())
        pages = [page for file in _DRAWN[key] for page in _render(file)]
        pages = [page.point(lambda grey: 255 - (255 - grey) * ink) for page in pages] if ink < 1 else pages
        self.pages = {"front": pages[0], "back": pages[1]}

    def on_paper(self, side: str) -> np.ndarray:
        """Page mm of a side to mm on the paper as seen from the front."""
        if side == "front":
            return self.front
        return self.front @ self.mirror @ np.linalg.inv(self.true)

    def scan(self, side: str, placing: Placing, seed: int = 0) -> Image.Image:
        """The side as a scanner sees it."""
        seen = np.eye(3) if side == "front" else np.array([[-1, 0, self.size[0]], [0, 1, 0], [0, 0, 1.0]])
        angle, scale = np.radians(placing.turn), placing.ppi / 25.4
        turn = np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1.0]])
        corners = (turn @ seen @ np.column_stack((self.outline, np.ones(4))).T)[:2].T * placing.stretch
        low, high = corners.min(axis=0), corners.max(axis=0)
        width, height = (np.ceil((high - low + 2 * np.array([placing.right, placing.up])) * scale)).astype(int)
        to_px = np.array(
            [
                [scale * placing.stretch[0], 0, scale * (placing.right - low[0])],
                [0, -scale * placing.stretch[1], height - scale * (placing.up - low[1])],
                [0, 0, 1.0],
            ]
        )
        glass = to_px @ turn @ seen
        other = "back" if side == "front" else "front"
        paper = self._warped(side, glass, (width, height))
        if placing.shine:
            paper *= 1 - placing.shine * (1 - self._warped(other, glass, (width, height)))
        paper = 246 * (paper * 0.92 + 0.08)
        depth = _depth(glass, self.outline, (width, height))
        cover = np.clip(depth + 0.5, 0, 1)  # how much of each pixel the paper covers
        ground: Any = placing.ground
        if placing.shadow:
            ground = ground * (1 - placing.shadow * np.clip(1 + depth / scale / SHADOW_MM, 0, 1))
        grey = paper * cover + ground * (1 - cover)
        image = Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8))
        image = image.filter(ImageFilter.GaussianBlur(placing.blur))
        chance = np.random.default_rng(seed)
        noisy = (
            np.asarray(image, dtype=np.float32)
            + chance.standard_normal((height, width), dtype=np.float32) * placing.noise
        )
        return Image.fromarray(np.clip(noisy, 0, 255).astype(np.uint8))

    def _warped(self, side: str, glass: np.ndarray, size: tuple[int, int]) -> np.ndarray:
        """The page on the glass, 0 ink to 1 paper."""
        page = self.pages[side]
        across, down = np.array(page.size) / self.size  # pdfium stretches a page to whole pixels
        page_px = np.array([[across, 0, -0.5], [0, -down, page.height - 0.5], [0, 0, 1.0]])
        back = page_px @ np.linalg.inv(glass @ self.on_paper(side))
        # Pillow asks for the source of the middle of each pixel, (x + 0.5, y + 0.5), in coordinates of that kind too
        back = (
            np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]]) @ back @ np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1]])
        )
        warped = page.transform(
            size, Image.Transform.AFFINE, tuple(back[:2].reshape(-1)), Image.Resampling.BILINEAR, fillcolor=255
        )
        return np.asarray(warped, dtype=np.float32) / 255

    def scans(self, front: Placing, back: Placing, seed: int = 0) -> tuple[Scan, Scan]:
        """Both scans, as the program holds them once they are opened."""
        return tuple(
            Scan(file=f"{side}.png", grey=np.asarray(self.scan(side, placing, seed + number)), ppi=placing.ppi)
            for number, (side, placing) in enumerate((("front", front), ("back", back)))
        )

    def reads(self, number: int) -> tuple[float, float]:
        """What a pin says at a mark, by the printer's true faults."""
        place = self.target.mark(number).back
        x, y = float(place.x), float(place.y)
        moved = self.true @ (x, y, 1.0)
        return float(moved[0] - x), float(moved[1] - y)


_DRAWN: dict[tuple[str, object], tuple[bytes, ...]] = {}  # the files of each target, drawn once for all tests


def _square(affine: Any) -> np.ndarray:
    return np.vstack((np.asarray(affine, dtype=float).reshape(2, 3), (0, 0, 1.0)))


@lru_cache(maxsize=8)
def _render(pdf: bytes) -> list[Image.Image]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        spread_px = TONER_SPREAD_MM / 25.4 * RENDER_PPI
        pages = [page.render(scale=RENDER_PPI / 72, grayscale=True).to_pil().convert("L") for page in document]
        return [page.filter(ImageFilter.GaussianBlur(spread_px)) for page in pages]
    finally:
        document.close()


def _depth(glass: np.ndarray, outline: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """How far each pixel lies within the paper, px; less than 0 outside."""
    corners = (glass @ np.column_stack((outline, np.ones(4))).T)[:2].T
    one, other = corners[1] - corners[0], corners[2] - corners[1]
    if one[0] * other[1] - one[1] * other[0] < 0:
        corners = corners[::-1]
    columns, rows = np.arange(size[0], dtype=np.float32), np.arange(size[1], dtype=np.float32)[:, np.newaxis]
    depth = np.full((size[1], size[0]), np.inf, dtype=np.float32)
    for one, other in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        along = (other - one) / np.hypot(*(other - one))
        inside = along[0] * (rows - one[1]) - along[1] * (columns - one[0])
        depth = np.minimum(depth, inside)
    return depth


def about_centre(size: np.ndarray, degrees: float, across: float, up: float, shift: tuple[float, float]) -> np.ndarray:
    """2 x 3: scaled, then turned about the middle of a page of this size, then shifted; mm."""
    angle = np.radians(degrees)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    linear = turn @ np.diag([across, up])
    offset = size / 2 + shift - linear @ (size / 2)
    return np.column_stack((linear, offset))


@pytest.fixture
def print_target(settings: Settings) -> Callable[..., Printed]:
    """Print a target with faults drawn at random from a seed, or as given: true, front, outline."""

    def printed(sheet_name: str = "letter", seed: int = 1, **given: Any) -> Printed:
        size = settings.sheets[sheet_name].size
        wide = np.array([float(size.width), float(size.height)])
        chance = np.random.default_rng(seed)
        true = about_centre(
            wide,
            chance.uniform(-0.4, 0.4),
            1 + chance.uniform(-0.003, 0.003),
            1 + chance.uniform(-0.003, 0.003),
            tuple(chance.uniform(-2, 2, 2)),
        )
        front = about_centre(
            wide,
            chance.uniform(-0.3, 0.3),
            1 + chance.uniform(-0.002, 0.002),
            1 + chance.uniform(-0.002, 0.002),
            tuple(chance.uniform(-1.5, 1.5, 2)),
        )
        outline = np.array([(0, 0), (wide[0], 0), wide, (0, wide[1])]) + chance.uniform(-1.0, 1.0, 2)
        outline += chance.uniform(-1, 1, (4, 2)) * 0.4
        arguments = {"true": true, "front": front, "outline": outline, **given}
        return Printed(settings, sheet_name, **arguments)

    return printed


@pytest.fixture(scope="module")
def kept_scans() -> dict[str, Any]:
    """Filled by a file's tests: scans that are made once for all of them, by how they were made."""
    return {}


@pytest.fixture
def placing() -> type[Placing]:
    return Placing


@pytest.fixture
def centred() -> Callable[..., np.ndarray]:
    return about_centre
