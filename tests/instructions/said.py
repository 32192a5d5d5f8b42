"""The words of instructions as another program reads them out of the PDF."""

import re
from typing import Any

import pypdfium2
from PIL import Image

from tests.instructions.an_order import FACTS, changed, two_up
from watcher.instructions.page import write_instructions
from watcher.instructions.preview import LatePicture
from watcher.terms import Duplex

BY_HAND: dict[str, Any] = {"duplex": Duplex.MANUAL, "files": ("walk_1-fronts.pdf", "walk_2-backs.pdf")}
ONE_SIDED: dict[str, Any] = {"flip": None, "layout": two_up(flip=None)}


def page_texts(pdf: bytes) -> list[str]:
    """The words of each page, white space evened out."""
    document = pypdfium2.PdfDocument(pdf)
    texts = []
    for index in range(len(document)):
        page = document[index]
        words = page.get_textpage()
        # pdfium gives U+FFFE where a line breaks inside a word at a hyphen: the hyphen was there
        texts.append(re.sub(r"\s+", " ", words.get_text_range().replace("\ufffe", "-")))
        words.close()
        page.close()
    document.close()
    return texts


def said(**changes: Any) -> str:
    return " ".join(page_texts(write_instructions(changed(FACTS, **changes))))


def picture(width_px: int = 600, height_px: int = 400) -> LatePicture:
    shown = Image.effect_mandelbrot((width_px, height_px), (-2, -1, 1, 1), 40).convert("RGB")
    return LatePicture(size_px=shown.size, picture=shown.copy)
