"""Finished files of every format, drawn by the libraries that write them in earnest, and files that are cut."""

import io
import stat
import zipfile
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from PIL import Image
from pypdf import PdfWriter


def _picture(width: int = 120, height: int = 90) -> Image.Image:
    """Pixels that no compression makes small: neighbours differ everywhere."""
    noise = bytes((x * 7919 + x * x * 104729 >> 5) & 0xFF for x in range(width * height * 3))
    return Image.frombytes("RGB", (width, height), noise)


def _saved(image: Image.Image, kind: str, **options: object) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, kind, **options)
    return buffer.getvalue()


def _jpeg_with_small_picture() -> bytes:
    """A JPEG whose EXIF data holds a whole JPEG of its own, with its own end mark."""
    small = _saved(_picture(40, 30), "JPEG")
    return _saved(_picture(), "JPEG", exif=b"Exif\0\0" + b"II*\0\x08\0\0\0\0\0\0\0\0\0" + small)


def _pdf() -> bytes:
    writer = PdfWriter()
    writer.add_blank_page(360, 504)
    buffer = io.BytesIO()
    writer.write(buffer)
    return buffer.getvalue()


def _pdf_again(**options: object) -> bytes:
    buffer = io.BytesIO()
    with pikepdf.open(io.BytesIO(_pdf())) as pdf:
        pdf.save(buffer, **options)
    return buffer.getvalue()


def _zip(comment: bytes = b"", *, wide: bool = False) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        with archive.open("1.png", "w", force_zip64=wide) as member:
            member.write(_saved(_picture(), "PNG"))
        archive.comment = comment
    return buffer.getvalue()


def _tiff_in_rows(compression: str) -> bytes:
    return _saved(_picture(), "TIFF", compression=compression, strip_size=4096)


def _two_page_tiff() -> bytes:
    return _saved(_picture(), "TIFF", save_all=True, append_images=[_picture(60, 60)], compression="tiff_lzw")


FINISHED: dict[str, Callable[[], bytes]] = {
    "plain.png": lambda: _saved(_picture(), "PNG"),
    "palette.png": lambda: _saved(_picture().convert("P"), "PNG"),
    "plain.jpg": lambda: _saved(_picture(), "JPEG"),
    "progressive.jpeg": lambda: _saved(_picture(), "JPEG", progressive=True, quality=95),
    "restarts.jpg": lambda: _saved(_picture(), "JPEG", restart_marker_rows=1),
    "small-picture.jpg": _jpeg_with_small_picture,
    "one-strip.tif": lambda: _saved(_picture(), "TIFF"),
    "lzw.tif": lambda: _tiff_in_rows("tiff_lzw"),
    "deflate.tiff": lambda: _tiff_in_rows("tiff_deflate"),
    "big.tif": lambda: _saved(_picture(), "TIFF", big_tiff=True),
    "two-pages.tif": _two_page_tiff,
    "lossy.webp": lambda: _saved(_picture(), "WEBP"),
    "lossless.webp": lambda: _saved(_picture(), "WEBP", lossless=True),
    "with-profile.webp": lambda: _saved(_picture(), "WEBP", exif=b"Exif\0\0" + bytes(40)),
    "plain.pdf": _pdf,
    "linearized.pdf": lambda: _pdf_again(linearize=True),
    "packed-objects.pdf": lambda: _pdf_again(object_stream_mode=pikepdf.ObjectStreamMode.generate),
    "plain.zip": _zip,
    "wide.zip": lambda: _zip(wide=True),
    "comment.zip": lambda: _zip(b"PK\x05\x06 stands in this comment"),
}


@pytest.fixture(params=sorted(FINISHED))
def finished(request: pytest.FixtureRequest) -> tuple[str, bytes]:
    """Name and bytes of a finished file, of each kind in turn."""
    return request.param, FINISHED[request.param]()


# Pixels that are not compressed may honestly be black: there zeros prove nothing.
PACKED = sorted(FINISHED.keys() - {"one-strip.tif", "big.tif"})


@pytest.fixture(params=PACKED)
def packed(request: pytest.FixtureRequest) -> tuple[str, bytes]:
    """Name and bytes of a finished file of each kind that never ends in zeros."""
    return request.param, FINISHED[request.param]()


@pytest.fixture
def finished_file() -> Callable[[str], bytes]:
    """The bytes of the finished file of that name."""
    return lambda name: FINISHED[name]()


@pytest.fixture
def put(tmp_path: Path) -> Callable[[str, bytes], Path]:
    """Writes a file into the test's folder."""

    def write(name: str, data: bytes) -> Path:
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
        return path

    return write


def _pdf_bytes(pages: int = 1, password: str | None = None, *, owner_only: bool = False) -> bytes:
    writer = PdfWriter()
    for _ in range(pages):
        writer.add_blank_page(360, 504)
    if password:
        writer.encrypt("" if owner_only else password, password, algorithm="RC4-128")
    buffer = io.BytesIO()
    writer.write(buffer)
    return buffer.getvalue()


@pytest.fixture
def pdf_bytes() -> Callable[..., bytes]:
    """Makes a PDF of so many blank pages."""
    return _pdf_bytes


@pytest.fixture
def make_zip(tmp_path: Path) -> Callable[..., Path]:
    """Writes a ZIP of (name, bytes) members; a member may be a ZipInfo in place of a name."""

    def make(*members: tuple[str | zipfile.ZipInfo, bytes], name: str = "spring.zip", method: int = 0) -> Path:
        path = tmp_path / name
        with zipfile.ZipFile(path, "w", compression=method) as archive:
            for member, data in members:
                archive.writestr(member, data)
        return path

    return make


@pytest.fixture
def link_info() -> zipfile.ZipInfo:
    """An entry marked as a symbolic link, as archivers on Unix write it."""
    info = zipfile.ZipInfo("front.png")
    info.create_system = 3
    info.external_attr = (stat.S_IFLNK | 0o777) << 16
    return info
