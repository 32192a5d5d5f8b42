"""How each format of pictures is opened: its head read before anything is decoded, and the reader of its pixels.

The rows stand beside those of `inbox.formats`: a picture format that is taken has an opener here.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

from PIL.ImageFile import ImageFile
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile
from PIL.TiffImagePlugin import TiffImageFile
from PIL.WebPImagePlugin import WebPImageFile

from watcher.art.formats import jpeg, png, webp
from watcher.art.formats.tiff import read_tiff_head
from watcher.inbox.formats import JPEG, PNG, TIFF, WEBP, FileFormat, format_of
from watcher.inbox.tiff_pages import TiffPage

Head: TypeAlias = png.PngParts | jpeg.JpegHead | TiffPage | webp.WebpHead


@dataclass(frozen=True, kw_only=True)
class Opener:
    """How a format is opened.

    Attributes:
        read_head: size and whatever else is known without decoding, from the name that people know the file by, its
            bytes and the page meant; ValueError or IndexError where it is damaged.
        reader: Pillow's, named so that it is loaded: a picture is opened with this one reader and no other.
        is_turned: whether the reader turns the picture upright by itself.
        may_move: whether only the reader can tell that the file holds a moving picture.
        prints_faults: whether the reader writes what it thinks of a file to the terminal, past Python.
    """

    read_head: Callable[[str, bytes, int | None], Head]
    reader: type[ImageFile]
    is_turned: bool = False
    may_move: bool = False
    prints_faults: bool = False


OPENERS: dict[FileFormat, Opener] = {
    PNG: Opener(read_head=lambda _shown, data, _page: png.take_apart(data), reader=PngImageFile),
    JPEG: Opener(read_head=lambda _shown, data, _page: jpeg.read_head(data), reader=JpegImageFile),
    # Pillow turns a TIFF as its orientation tag says (tried with Pillow 13).
    TIFF: Opener(read_head=read_tiff_head, reader=TiffImageFile, is_turned=True, prints_faults=True),
    WEBP: Opener(read_head=lambda _shown, data, _page: webp.read_head(data), reader=WebPImageFile, may_move=True),
}


def picture_format(data: bytes) -> FileFormat | None:
    """The format of picture that the bytes are in, whatever the file is called; None when it is none that is taken."""
    found = format_of(data)
    return found if found in OPENERS else None
