"""ZIPs and PDFs, sound and malicious, made by the libraries and then bent byte by byte."""

import io
import stat
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfWriter


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
