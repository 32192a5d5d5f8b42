"""Art for measuring, drawn by code: the same every time, and as hard to pack as what shops really get."""

import io
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

SIZE_PX = 1575, 2175  # 5 x 7 in with 1/8 in of bleed at 300 ppi
SIDES = ("front", "back")


def draw_pair(kind: str, folder: Path, size_px: tuple[int, int] = SIZE_PX) -> tuple[Path, Path]:
    """A front and a back of one kind (a key of `KINDS`), written into the folder."""
    write, ending = KINDS[kind]
    files = tuple(folder / f"{kind}_{side}.{ending}" for side in SIDES)
    for number, file in enumerate(files):
        file.write_bytes(write(size_px, number))
    return files[0], files[1]


def photo(size_px: tuple[int, int], number: int) -> NDArray[np.uint8]:
    """Something like a photo: soft fields, edges, and the grain of a sensor in every pixel. Height x width x 3."""
    width, height = size_px
    grain = np.random.default_rng(number)
    x, y = np.meshgrid(np.linspace(0, 6, width, dtype=np.float32), np.linspace(0, 8, height, dtype=np.float32))
    fields = [np.sin(x * (1 + channel / 4) + number) * np.cos(y / (1 + channel / 3)) * 70 + 128 for channel in range(3)]
    picture = np.stack(fields, axis=-1)
    for _ in range(40):
        left, top = grain.integers(0, width - 60), grain.integers(0, height - 60)
        picture[top : top + grain.integers(20, 400), left : left + grain.integers(20, 300)] += grain.normal(0, 25, 3)
    picture += grain.normal(0, 2.5, picture.shape)
    return np.clip(picture, 0, 255).astype(np.uint8)


def _photo_png(size_px: tuple[int, int], number: int) -> bytes:
    return _saved(Image.fromarray(photo(size_px, number)), "PNG")


def _flat_png(size_px: tuple[int, int], number: int) -> bytes:
    """Shapes and lettering on one colour, as most designs are."""
    picture = Image.new("RGB", size_px, (250 - 30 * number, 244, 232))
    draw, (width, height) = ImageDraw.Draw(picture), size_px
    for step in range(9):
        at = (width * (step + 1) // 11, height * (step + 1) // 11)
        draw.ellipse((*at, at[0] + width // 5, at[1] + width // 5), fill=(30 + 20 * step, 80, 160 - 10 * step))
    for line in range(12):
        draw.text((width // 8, height // 8 + line * height // 20), "An evening of lanterns", (40, 40, 60), font_size=60)
    return _saved(picture, "PNG")


def _alpha_png(size_px: tuple[int, int], number: int) -> bytes:
    picture = Image.fromarray(photo(size_px, number))
    picture.putalpha(255)
    return _saved(picture, "PNG")


def _jpeg(size_px: tuple[int, int], number: int) -> bytes:
    return _saved(Image.fromarray(photo(size_px, number)), "JPEG", quality=92)


def _jpeg_tiff(size_px: tuple[int, int], number: int) -> bytes:
    """A TIFF whose strips of 16 rows are JPEG data."""
    return _saved(Image.fromarray(photo(size_px, number)), "TIFF", compression="jpeg", quality=92, tiffinfo={278: 16})


def _lossy_webp(size_px: tuple[int, int], number: int) -> bytes:
    return _saved(Image.fromarray(photo(size_px, number)), "WEBP", quality=90)


def _pdf(size_px: tuple[int, int], number: int) -> bytes:
    """A page with a photo, curves and lettering."""
    width, height = (length * 72 / 300 for length in size_px)
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(width, height), invariant=1)
    canvas.setFillColorRGB(0.95, 0.93, 0.9 - number / 5)
    canvas.rect(0, 0, width, height, stroke=0, fill=1)
    small = io.BytesIO(_jpeg((size_px[0] // 2, size_px[1] // 2), number))
    canvas.drawImage(ImageReader(small), width / 4, height / 3, width / 2, height / 2)
    for step in range(60):
        canvas.setFillColorRGB(step / 60, 0.3, 0.6)
        canvas.circle(width * (step % 10 + 0.5) / 10, height * (step // 10 + 0.5) / 20, 8, stroke=0)
    canvas.drawString(width / 6, height / 4, "An evening of lanterns")
    canvas.save()
    return out.getvalue()


def _saved(picture: Image.Image, form: str, **how: Any) -> bytes:
    out = io.BytesIO()
    picture.save(out, form, dpi=(300, 300), **how)
    return out.getvalue()


KINDS: dict[str, tuple[Callable[[tuple[int, int], int], bytes], str]] = {
    "photo-png": (_photo_png, "png"),
    "flat-png": (_flat_png, "png"),
    "alpha-png": (_alpha_png, "png"),
    "jpeg": (_jpeg, "jpg"),
    "jpeg-tiff": (_jpeg_tiff, "tif"),
    "lossy-webp": (_lossy_webp, "webp"),
    "pdf": (_pdf, "pdf"),
}


def small_png(number: int) -> bytes:
    """A small PNG of a colour of its own, made without any library in a fraction of a millisecond: 105 x 145 px."""
    width, height = 105, 145
    row = b"\0" + bytes((number % 251, number // 251 % 251, 90)) * width
    frame = b"\0" + bytes((20, 20, 20)) * width
    rows = zlib.compress(row * 60 + frame * 25 + row * 60, 1)
    head = width.to_bytes(4) + height.to_bytes(4) + bytes((8, 2, 0, 0, 0))
    chunks = ((b"IHDR", head), (b"IDAT", rows), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        len(body).to_bytes(4) + kind + body + zlib.crc32(kind + body).to_bytes(4) for kind, body in chunks
    )
