"""PDF art that needs work before it can be printed, by every way in which art comes: all of it lands on the sheet."""

import io
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pikepdf
import pypdfium2
import pytest
from pikepdf import Array, Dictionary, Name, String

from watcher.service.loop import Service

Once = Callable[[Path], Service]
WIDE, HIGH = 257.95, 172.91  # 91 x 61 mm: the trim of a tag, 85 x 55 mm, and 3 mm of bleed


def filled(*names: str, **options: object) -> bytes:
    """A PDF of a page for each name, each with the name in a form field that has no look."""
    file, finished = pikepdf.new(), io.BytesIO()
    file.Root.AcroForm = Dictionary(Fields=Array([]), NeedAppearances=True)
    for number, name in enumerate(names):
        page = file.add_blank_page(page_size=(WIDE, HIGH))
        page.Contents = file.make_stream(b"0.9 0.9 1 rg 0 0 258 173 re f 0.%d 0.5 0.5 rg 30 90 60 50 re f" % number)
        said = {"FT": Name.Tx, "T": String(f"field {number}"), "V": String(name), "DA": String("/Helv 20 Tf 0 g")}
        kind = {"Type": Name.Annot, "Subtype": Name.Widget, "F": 4, "Rect": [60, 40, 200, 70]}
        field = file.make_indirect(Dictionary(**said, **kind))
        file.Root.AcroForm.Fields.append(field)
        page.Annots = Array([field])
    file.save(finished, **options)
    return finished.getvalue()


def text_on(sheets: Path) -> str:
    with pypdfium2.PdfDocument(sheets) as document:
        return " ".join(page.get_textpage().get_text_bounded() for page in document)


@pytest.fixture
def drop(print_folder: Path) -> Callable[[str, bytes], None]:
    def into_tags(name: str, data: bytes) -> None:
        (print_folder / "inbox/tag").mkdir(exist_ok=True)
        (print_folder / "inbox/tag" / name).write_bytes(data)

    return into_tags


def zipped(data: bytes) -> bytes:
    finished = io.BytesIO()
    with zipfile.ZipFile(finished, "w") as archive:
        archive.writestr("lena.pdf", data)
    return finished.getvalue()


LOCK = {"encryption": pikepdf.Encryption(user="", owner="owner", R=6)}
WAYS = {
    "a file": ("lena.pdf", filled("Lena"), ("Lena",)),
    "a locked file": ("lena.pdf", filled("Lena", **LOCK), ("Lena",)),
    "a ZIP": ("lena.zip", zipped(filled("Lena")), ("Lena",)),
    "a ZIP of a locked file": ("lena.zip", zipped(filled("Lena", **LOCK)), ("Lena",)),
    "many designs": ("lena.pdf", filled("Lena", "Jonas", "Mira"), ("Lena", "Jonas", "Mira")),
    "many locked designs": ("lena.pdf", filled("Lena", "Jonas", "Mira", **LOCK), ("Lena", "Jonas", "Mira")),
    "a damaged file": ("lena.pdf", filled("Lena").rpartition(b"startxref")[0] + b"%%EOF", ("Lena",)),
}


@pytest.mark.parametrize("way", WAYS)
def test_what_is_filled_in_lands_on_the_sheet_as_type(way: str, print_folder: Path, once: Once, drop) -> None:
    name, data, words = WAYS[way]
    drop(name, data)
    once(print_folder)
    said = text_on(print_folder / "outbox/lena/lena_sheets.pdf")
    assert [word for word in words if word not in said] == []


def test_a_repeat_gives_the_same_sheets(print_folder: Path, once: Once, drop) -> None:
    drop("lena.pdf", filled("Lena", **LOCK))
    once(print_folder)
    first = (print_folder / "outbox/lena/lena_sheets.pdf").read_bytes()
    (print_folder / "inbox/again.toml").write_text('repeat = "lena"\n')
    once(print_folder)
    (again,) = [path for path in (print_folder / "outbox").glob("*/*_sheets.pdf") if path.parent.name != "lena"]
    assert "Lena" in text_on(again)
    assert again.read_bytes() == first


@pytest.mark.parametrize(("after_s", "is_held"), [(599, False), (601, True)])
def test_once_holds_a_file_whose_end_is_missing_when_its_time_is_up(
    after_s: float, is_held: bool, print_folder: Path, once: Once, drop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`give_up` is 10 minutes when nothing is said of it, counted from the file's last change."""
    drop("lena.pdf", filled("Lena")[:-30])
    changed = (print_folder / "inbox/tag/lena.pdf").stat().st_ctime
    clock = SimpleNamespace(time=lambda: changed + after_s, time_ns=time.time_ns)
    monkeypatch.setattr("watcher.service.taking.time", clock)
    once(print_folder)
    held = print_folder / "held/lena/why.txt"
    assert held.exists() is is_held
    assert not is_held or "its end is missing" in held.read_text()
