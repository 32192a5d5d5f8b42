"""The picture of the finished sheet: front and back side by side, rendered from the finished PDF.

Comes in: the bytes of the sheet files and which side each page is. Goes out: the bytes of a PNG. Runs in a worker
process only, since pdfium must not share a process with threads (pypdfium2's own warning) and cannot be stopped.
"""

from collections.abc import Iterator, Sequence
from contextlib import closing
from functools import lru_cache
from io import BytesIO
from pathlib import Path

import pypdfium2
from PIL import Image, ImageDraw, ImageFont

from watcher.terms import Side
from watcher.units import POINTS_PER_INCH

LONGEST_PX = 1600  # of one page; a larger sheet is shown at a lower resolution
FONT_FILE = Path(__file__).parent.parent / "sheet" / "fonts" / "DejaVuSans.ttf"
PAPER = (255, 255, 255)
BORDER = (170, 170, 170)
CAPTION = (90, 90, 90)


def render_preview(pdfs: Sequence[bytes], sides: Sequence[Sequence[Side]], *, ppi: int = POINTS_PER_INCH) -> bytes:
    """A PNG (RGB) of the first front and the first back among the pages of `pdfs`, left and right.

    Args:
        pdfs: the sheet files, one or (with manual duplex) two.
        sides: for each file, which side each of its pages is.
        ppi: resolution; lowered so that no page is longer than `LONGEST_PX`.

    Returns:
        The same bytes for the same files: the PNG carries no date.

    Raises:
        ValueError: no page is a front or a back.
    """
    pages = [(side, _render(pdf, page, ppi)) for side, pdf, page in _first_pages(pdfs, sides)]
    if not pages:
        raise ValueError("there is no page to show")
    out = BytesIO()
    _side_by_side(pages).save(out, "PNG", compress_level=3)
    return out.getvalue()


def _first_pages(pdfs: Sequence[bytes], sides: Sequence[Sequence[Side]]) -> Iterator[tuple[Side, bytes, int]]:
    for side in (Side.FRONT, Side.BACK):
        for pdf, pages in zip(pdfs, sides, strict=True):
            if side in pages:
                yield side, pdf, list(pages).index(side)
                break


def _render(pdf: bytes, index: int, ppi: int) -> Image.Image:
    """One page on white, RGB."""
    with closing(pypdfium2.PdfDocument(pdf)) as document, closing(document[index]) as page:
        scale = min(ppi / POINTS_PER_INCH, LONGEST_PX / max(page.get_size()))
        with closing(page.render(scale=scale, rev_byteorder=True)) as bitmap:
            shown: Image.Image = bitmap.to_pil()
            return shown.convert("RGB")  # a copy: the bitmap's own memory ends here


def _side_by_side(pages: Sequence[tuple[Side, Image.Image]]) -> Image.Image:
    tallest = max(page.height for _, page in pages)
    gap = max(10, tallest // 40)
    font = _caption_font(max(11, tallest // 45))
    head = gap // 2 + 2 * int(font.size)
    wide = sum(page.width for _, page in pages) + gap * (len(pages) + 1)
    picture = Image.new("RGB", (wide, head + tallest + gap), PAPER)
    draw, left = ImageDraw.Draw(picture), gap
    for side, page in pages:
        draw.text((left, gap // 2), side.value, fill=CAPTION, font=font)
        draw.rectangle((left - 1, head - 1, left + page.width, head + page.height), outline=BORDER)
        picture.paste(page, (left, head))
        left += page.width + gap
    return picture


@lru_cache(maxsize=4)
def _caption_font(size_px: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(FONT_FILE, size_px)
