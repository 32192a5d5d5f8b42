"""A print folder for place cards, what is dropped into it, and what is seen on its finished sheets.

Every design has a colour of its own, told by pdfium's rendering of the finished sheet at the middle of each place.
Where the middles are, and where the sheet's turn brings them, is reckoned here: 85 x 55 mm with 6 mm lanes on US letter
(8.5 x 11 in, 25.4 mm to the inch: NIST SP 811 B.8) is two columns of four; a sheet turned on its long edge changes left
and right, on its short edge top and bottom (RFC 8011 5.2.8).
"""

import io
import zipfile
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path

import pypdfium2
from PIL import Image, ImageDraw
from reportlab.pdfgen.canvas import Canvas

from watcher.service.loop import Service

Once = Callable[[Path], Service]
SERVICE = "[service]"
SETTINGS = """
[service]
quiet = "0 s"
events = "polling"
[cards.place]
trim = "85 x 55 mm"
bleed = "3 mm"
sides = 1
sheet = "letter"
warn_ppi = 60
hold_ppi = 40
[cards.named]
trim = "85 x 55 mm"
bleed = "3 mm"
sheet = "letter"
warn_ppi = 60
hold_ppi = 40
[sheets.letter]
size = "letter"
printer = "office"
[printers.office]
flip = "long-edge"
"""
WIDTH_MM, HEIGHT_MM = 215.9, 279.4
ROWS, COLUMNS = (-1.5, -0.5, 0.5, 1.5), (-1, 1)
MIDDLES = [(WIDTH_MM / 2 + across * 45.5, HEIGHT_MM / 2 - down * 61) for down in ROWS for across in COLUMNS]
COMMON = (250, 250, 40)
EMPTY = (255, 255, 255)
PX = (258, 173)  # 91 x 61 mm at 72 ppi


def colour_of(design: int, side: str = "front") -> tuple[int, int, int]:
    """A colour that no other design has, nor any back."""
    return (design % 8 * 32, design // 8 * 32, 60 if side == "front" else 200)


def picture(colour: tuple[int, int, int], size: tuple[int, int] = PX) -> bytes:
    image = Image.new("RGB", size, colour)
    pen = ImageDraw.Draw(image)
    pen.rectangle([size[0] // 8, size[1] // 8, size[0] // 4, size[1] // 4], fill="black")  # neither flat nor even
    buffer = io.BytesIO()
    image.save(buffer, "PNG")
    return buffer.getvalue()


def pdf(colours: Sequence[tuple[int, int, int]]) -> bytes:
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(91 / 25.4 * 72, 61 / 25.4 * 72), invariant=1)
    for red, green, blue in colours:
        canvas.setFillColorRGB(red / 255, green / 255, blue / 255)
        canvas.rect(-10, -10, 400, 400, stroke=0, fill=1)
        canvas.setFillColorRGB(0, 0, 0)
        canvas.rect(30, 30, 20, 10, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def zipped(pictures: dict[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, data in pictures.items():
            archive.writestr(zipfile.ZipInfo(name), data)
    return buffer.getvalue()


def new_shop(folder: Path, *, by_sight: bool = True) -> Path:
    """A print folder for place cards, with the check by sight or without."""
    for card in ("place", "named"):
        (folder / "inbox" / card).mkdir(parents=True)
    (folder / "settings.toml").write_text(
        SETTINGS if by_sight else SETTINGS.replace(SERVICE, f"{SERVICE}\nread_back = false")
    )
    return folder


def guests(folder: Path, count: int = 24, **more: bytes) -> None:
    """A ZIP of so many numbered place cards."""
    cards = {f"{number:02d}.png": picture(colour_of(number)) for number in range(1, count + 1)}
    (folder / "inbox/place/guests.zip").write_bytes(zipped(cards | more))


def numbered(folder: Path, numbers: Sequence[int], size: tuple[int, int] = PX) -> None:
    """Fronts and backs of numbered names."""
    for number in numbers:
        for side in ("front", "back"):
            file = folder / f"inbox/named/spring_{number:02d}_{side}.png"
            file.write_bytes(picture(colour_of(number, side), size))


def seen(file: Path, middles: Sequence[tuple[float, float]] = MIDDLES) -> list[list[tuple[int, int, int]]]:
    """The colour at each middle of each page; points of 1/72 in are the pixels."""
    pages = []
    with closing(pypdfium2.PdfDocument(file)) as document:
        for page in document:
            pixels = page.render(scale=1, rev_byteorder=True).to_numpy()
            at = [(round(x / 25.4 * 72), round((HEIGHT_MM - y) / 25.4 * 72)) for x, y in middles]
            pages.append([tuple(int(value) for value in pixels[down, across][:3]) for across, down in at])
    return pages


def alike(one: tuple[int, int, int], other: tuple[int, int, int]) -> bool:
    return all(abs(a - b) <= 3 for a, b in zip(one, other, strict=True))


def shows(found: Sequence[tuple[int, int, int]], wanted: Sequence[tuple[int, int, int]]) -> bool:
    return len(found) == len(wanted) and all(alike(one, other) for one, other in zip(found, wanted, strict=True))
