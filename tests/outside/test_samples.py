"""Sample files of public test suites on the finished sheet, seen by pdfium and poppler and held against other readers.

    pillow 13.0.0    Tests/images: pictures of every kind
    pikepdf 10.18.0  tests/resources: odd PDFs
    pypdf 7.1.1      resources: PDFs from its bug reports

Where `tests/hostile/test_corpora.py` asks whether all of them are survived, this asks whether those that are sound are
made, and made right: the card on the sheet is compared with what Pillow, or the renderer itself on the original page,
makes of the file. The archives lie in `.corpora` (see there). By default a part of each is tried; all of it with
`PRINT_FOLDER_LONG=1`. Limits of likeness: our own, from what the two renderers differ in by blending alone.
"""

import hashlib
import io
import os
import random
import shutil
import subprocess
import tarfile
import warnings
from fractions import Fraction
from pathlib import Path, PurePosixPath

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageCms, ImageOps

from tests.long_form import LONG
from tests.orders.an_order import an_order
from watcher.archive.effective_settings import EffectiveSettings
from watcher.errors import OrderHeld
from watcher.layout.geometry import Size
from watcher.orders.model import ArtSource
from watcher.settings.card import CardSettings
from watcher.settings.cutter import GUILLOTINE
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.terms import MakeBleed, Marks, Side
from watcher.work.job import Job
from watcher.work.make_order import make

FOLDER = Path(os.environ.get("PRINT_FOLDER_CORPORA", Path(__file__).parents[2] / ".corpora"))
PICTURES = {".png", ".jpg", ".jpeg", ".tif", ".tiff", ".webp"}
PART = {"pillow": 5, "pikepdf": 3, "pypdf": 3}  # of the pictures or pages of each archive in the short setting
LARGEST_SHORT = 200_000  # bytes of a file in the short setting
MARGIN_MM = 15
BLOCKS = 24  # along each side of a card, in which colours are compared
SMALLEST_PX, LONGEST_SHAPE = 8, 12  # less, or longer, is one blended edge and no picture
SMALLEST_PT = 100.0
# Mean over all blocks, and the level that 19 of 20 blocks stay below. A card on its head, of another colour or without
# its transparency is off by 30 and more on average.
MOST_MEAN, MOST_BLOCK = 9.0, 45.0
MOST_MEAN_OF_INKS = 20.0  # no two readers agree on what untagged CMYK looks like
# The causes for which a file that another reader opens may be held; "damaged" is none of them.
TRUE_CAUSES = ("moving pictures", "Lab colours", "floating point", "with a sign", "locked with", "bits per colour")
TRUE_CAUSES += ("packed in a way", "mm a side are possible", "px a side", "does not say how large", "in the file")


def archived(library: str, kinds: set[str]) -> list[tuple[str, bytes]]:
    """Files of the source distribution of a library, a part of them; skips where it is not there."""
    archive = next(iter(sorted(FOLDER.glob(f"{library}-*.tar.gz"))), None)
    if archive is None:
        pytest.skip(f"{FOLDER.name} holds no source distribution of {library}")
    with tarfile.open(archive) as tar:
        members = [one for one in tar if one.isfile() and one.size and PurePosixPath(one.name).suffix.lower() in kinds]
        members = [one for one in members if LONG or one.size <= LARGEST_SHORT]
        members.sort(key=lambda one: one.name)
        chosen = members if LONG else random.Random(library).sample(members, min(PART[library], len(members)))
        return [(member.name, tar.extractfile(member).read()) for member in chosen]


def sheet_with(folder: Path, data: bytes, suffix: str, trim: Size) -> Path:
    """The finished sheet with one card of the art's own shape.

    Raises:
        OrderHeld: it is not made.
    """
    art = folder / f"art{suffix}"
    art.write_bytes(data)
    page = 0 if suffix in (".pdf", ".tif", ".tiff") else None
    source = ArtSource(side=Side.FRONT, file=art.name, sha256=hashlib.sha256(data).hexdigest(), page=page)
    card = CardSettings(
        name="c", trim=trim, sheet="s", sides=1, warn_ppi=1, hold_ppi=1, make_bleed=MakeBleed.NONE,
        art_bleed=Fraction(0),
    )  # fmt: skip
    around = Size(trim.width + 2 * MARGIN_MM, trim.height + 2 * MARGIN_MM)
    sheet = SheetSettings(
        name="s", size=around, printer="p", marks=Marks.NONE, slug=False, unprintable=(Fraction(14),) * 4
    )
    shutil.rmtree(folder / "made", ignore_errors=True)
    make(
        Job(
            order=an_order("o", 1, art=(source,), accepted=True),
            settings=EffectiveSettings(
                card=card, sheet=sheet, printer=PrinterSettings(name="p"), cutter=GUILLOTINE, sha256="0" * 64
            ),
            folder=folder, building=folder / "made", name="o", shown="o", date="2026-01-01",
            made_at="2026-01-01T00:00:00", order_sha256="0" * 64,
        )
    )  # fmt: skip
    return folder / "made" / "o_sheets.pdf"


def by_pdfium(file: Path, ppi: float) -> np.ndarray:
    with pypdfium2.PdfDocument(file) as document:
        return np.asarray(document[0].render(scale=ppi / 72, draw_annots=False).to_pil().convert("RGB"))


def by_poppler(file: Path, ppi: float) -> np.ndarray:
    command = ["pdftoppm", "-r", str(ppi), "-l", "1", "-singlefile", "-cropbox", "-hide-annotations", "-png", str(file)]
    ran = subprocess.run(command, capture_output=True, check=True, timeout=60)
    return np.asarray(Image.open(io.BytesIO(ran.stdout)).convert("RGB"))


# Both look at one making of a file. Poppler only where it is installed.
READERS = (by_pdfium, by_poppler) if shutil.which("pdftoppm") else (by_pdfium,)


def card_of(sheet: np.ndarray, ppi: float) -> np.ndarray:
    """The card alone: it lies in the middle of its sheet."""
    edge = round(MARGIN_MM * ppi / 25.4)
    return sheet[edge:-edge, edge:-edge]


def unlike(found: np.ndarray, wanted: np.ndarray) -> tuple[float, float]:
    """How far two pictures differ: mean over blocks, and what 19 of 20 blocks stay below."""
    size = min(BLOCKS, found.shape[1], wanted.shape[1]), min(BLOCKS, found.shape[0], wanted.shape[0])
    one, other = (
        np.asarray(Image.fromarray(np.ascontiguousarray(each)).resize(size, Image.Resampling.BOX)).astype(int)
        for each in (found, wanted)
    )
    off = np.abs(one - other).max(axis=2)
    return round(float(off.mean()), 1), round(float(np.percentile(off, 95)), 1)


def shown_by_pillow(data: bytes) -> tuple[np.ndarray, bool] | None:
    """What Pillow makes of a picture, upright, on white, in sRGB, and whether it has inks; None where it refuses it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            picture = Image.open(io.BytesIO(data))
            picture.load()
            picture = ImageOps.exif_transpose(picture) if picture.format != "TIFF" else picture
        except Exception:  # any kind; then a file need not be made
            return None
        return np.asarray(in_srgb(picture)), picture.mode == "CMYK"


def in_srgb(picture: Image.Image) -> Image.Image:
    if picture.mode.startswith("I;16"):
        deep, clear = np.asarray(picture), picture.info.get("transparency")
        grey = np.where(deep == clear, 255, deep >> 8) if isinstance(clear, int) else deep >> 8
        return Image.fromarray(grey.astype(np.uint8)).convert("RGB")
    icc, clear = picture.info.get("icc_profile"), picture.info.get("transparency")
    if picture.mode == "RGB" and isinstance(clear, tuple) and max(clear) > 255:
        picture.info["transparency"] = tuple(value >> 8 for value in clear)
    seen = picture.convert("RGBA") if picture.has_transparency_data else None
    plain = seen.convert("RGB") if seen else picture
    plain = in_profile(plain, icc).convert("RGB")
    if seen is None:
        return plain
    ground = Image.new("RGB", plain.size, "white")
    ground.paste(plain, mask=seen.getchannel("A"))
    return ground


def in_profile(picture: Image.Image, icc: bytes | None) -> Image.Image:
    """Through littleCMS where there is a profile made for such pixels."""
    if not icc:
        return picture
    try:
        return ImageCms.profileToProfile(
            picture, io.BytesIO(icc), ImageCms.createProfile("sRGB"), renderingIntent=1, outputMode="RGB"
        )
    except (ImageCms.PyCMSError, OSError):
        return picture


def is_true_cause(held: OrderHeld) -> bool:
    return any(cause in str(held) for cause in TRUE_CAUSES)


def nothing_said_of_a_fault(held: OrderHeld) -> bool:
    return "\n" not in str(held) and "internal fault" not in str(held)


@pytest.mark.timeout(1200)
def test_pictures_on_the_sheet_look_as_pillow_shows_them(tmp_path):
    wrong, compared = {}, 0
    for name, data in archived("pillow", PICTURES):
        shown = shown_by_pillow(data)
        height, width = shown[0].shape[:2] if shown else (7, 5)
        most = Fraction(120, max(width, height))
        trim = Size(max(Fraction(3), width * most), max(Fraction(3), height * most))
        try:
            sheet = sheet_with(tmp_path, data, PurePosixPath(name).suffix.lower(), trim)
        except OrderHeld as held:
            if not nothing_said_of_a_fault(held) or (shown and not is_true_cause(held)):
                wrong[name] = str(held)
            continue
        if shown is None or min(width, height) < SMALLEST_PX or max(width, height) > LONGEST_SHAPE * min(width, height):
            continue
        compared += 1
        for look in READERS:
            found = card_of(look(sheet, 144), 144)
            as_large = Image.fromarray(shown[0]).resize(found.shape[1::-1], Image.Resampling.BOX)
            mean, block = unlike(found, np.asarray(as_large))
            if mean > (MOST_MEAN_OF_INKS if shown[1] else MOST_MEAN) or (block > MOST_BLOCK and not shown[1]):
                wrong[name] = (look.__name__, mean, block)
    assert wrong == {}
    assert compared >= 3


@pytest.mark.parametrize("library", ["pikepdf", "pypdf"])
@pytest.mark.timeout(1200)
def test_pages_on_the_sheet_look_as_the_same_reader_shows_the_original(library, tmp_path):
    wrong, compared = {}, 0
    for name, data in archived(library, {".pdf"}):
        size = size_by_pdfium(data)
        trim = Size(*(Fraction(round(length * 1000), 1000) / 72 * Fraction("25.4") for length in size or (200, 300)))
        try:
            sheet = sheet_with(tmp_path, data, ".pdf", trim)
        except OrderHeld as held:
            if not nothing_said_of_a_fault(held):
                wrong[name] = str(held)
            continue
        if size is None or min(size) < SMALLEST_PT or has_other_boxes(data):
            continue
        compared += 1
        for look in READERS:
            mean, block = unlike(card_of(look(sheet, 72), 72), look(tmp_path / "art.pdf", 72))
            if mean > MOST_MEAN or block > MOST_BLOCK:
                wrong[name] = (look.__name__, mean, block)
    assert wrong == {}
    assert compared >= 2


def size_by_pdfium(data: bytes) -> tuple[float, float] | None:
    """Width and height of the first page as it is read, points; None where pdfium refuses it."""
    try:
        with pypdfium2.PdfDocument(data) as document:
            return document[0].get_size()
    except pypdfium2.PdfiumError:
        return None


def has_other_boxes(data: bytes) -> bool:
    """Whether the page says a trim or a bleed apart from what is seen: then its card is another part of it."""
    with pypdfium2.PdfDocument(data) as document:
        page = document[0]
        return len({page.get_cropbox(), page.get_trimbox(), page.get_bleedbox()}) > 1
