"""The demo: the art of six orders, invented for one evening at a lighthouse, drawn by code.

In: a print folder made from `config/demo.toml`. Out: art files in its inbox, as an editor would export them; the same
bytes each time.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_STORED, ZipFile, ZipInfo

from watcher.demo import cards
from watcher.demo.brush import Brush
from watcher.errors import ServiceStopped, WrongUsage
from watcher.layout.geometry import Size
from watcher.settings.load import load_settings
from watcher.settings.starter import SETTINGS_NAME, config_file
from watcher.units import inches_to_mm

NO_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest that a ZIP can say: the same bytes each time
EIGHTH_INCH = inches_to_mm(Fraction(1, 8))


@dataclass(frozen=True, kw_only=True)
class DemoOrder:
    """An order of the demo.

    Attributes:
        card: the card of `config/demo.toml`, and the inbox folder.
        name: of the order.
        quantity: as the file name says it.
        trim, bleed: size of the art, mm.
        paint: functions that paint the front and the back, or the front alone.
        zipped: exported as one ZIP of numbered pages.
    """

    card: str
    name: str
    quantity: int
    trim: Size
    bleed: Fraction
    paint: tuple[Callable[[Brush], None], ...]
    zipped: bool = False


def _inches(width: str, height: str) -> Size:
    return Size(inches_to_mm(Fraction(width)), inches_to_mm(Fraction(height)))


ORDERS = (
    DemoOrder(
        card="invitation",
        name="lamp-night",
        quantity=50,
        trim=_inches("5", "7"),
        bleed=EIGHTH_INCH,
        paint=(cards.lamp_night_front, cards.lamp_night_back),
    ),
    DemoOrder(
        card="visitor-card",
        name="keeper-ada",
        quantity=100,
        trim=Size(Fraction(85), Fraction(55)),
        bleed=Fraction(3),
        paint=(cards.keeper_front, cards.keeper_back),
    ),
    DemoOrder(
        card="postcard",
        name="tide-table",
        quantity=30,
        trim=Size(Fraction(105), Fraction(148)),
        bleed=Fraction(3),
        paint=(cards.tide_table,),
    ),
    DemoOrder(
        card="programme",
        name="foghorn-concert",
        quantity=24,
        trim=_inches("4.25", "5.5"),
        bleed=EIGHTH_INCH,
        paint=(cards.foghorn_front, cards.foghorn_back),
        zipped=True,
    ),
    DemoOrder(
        card="thank-you",
        name="soup-thanks",
        quantity=25,
        trim=_inches("5.5", "4.25"),
        bleed=EIGHTH_INCH,
        paint=(cards.thanks_front, cards.thanks_back),
    ),
    DemoOrder(
        card="boat-ticket",
        name="boat-to-the-head",
        quantity=40,
        trim=_inches("3.5", "2"),
        bleed=Fraction(0),
        paint=(cards.boat_ticket,),
    ),
)


def make_demo(folder: Path) -> None:
    """Make the demo's print folder, with its settings and with art in its inbox.

    Raises:
        WrongUsage: there is a print folder already, or a file of that name.
        ServiceStopped: it cannot be written.
    """
    path = folder / SETTINGS_NAME
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(config_file("demo.toml").read_text(encoding="utf-8"))
        folders = load_settings(path).folders
        for place in (folders.outbox, folders.held, folders.archive, folders.state):
            place.mkdir(exist_ok=True)
        draw_demo(folder)
    except FileExistsError:
        raise WrongUsage(f"{folder} holds something already. Choose another folder for the demo.") from None
    except OSError as error:
        raise ServiceStopped(f"{folder} cannot be made: {error.strerror}. Choose another place.") from error


def draw_demo(folder: Path) -> None:
    """Put the art of all demo orders into the inbox of the print folder `folder`."""
    for order in ORDERS:
        drawer = folder / "inbox" / order.card
        drawer.mkdir(parents=True, exist_ok=True)
        for name, data in _files(order):
            (drawer / name).write_bytes(data)


def _files(order: DemoOrder) -> Iterator[tuple[str, bytes]]:
    """Give the files of an order, by name, as they are dropped."""
    pages, stem = [_painted(order, paint) for paint in order.paint], f"{order.name}_x{order.quantity}"
    if order.zipped:
        yield f"{stem}.zip", _zip_of(pages)
    elif len(pages) == 1:
        yield f"{stem}.png", pages[0]
    else:
        yield from zip((f"{stem}_front.png", f"{stem}_back.png"), pages, strict=True)


def _painted(order: DemoOrder, paint: Callable[[Brush], None]) -> bytes:
    brush = Brush(order.trim, order.bleed, (255, 255, 255))
    paint(brush)
    return brush.png()


def _zip_of(pages: list[bytes]) -> bytes:
    """Pack pages named by number alone, uncompressed: PNG does not shrink further."""
    out = BytesIO()
    with ZipFile(out, "w", ZIP_STORED) as archive:
        for number, page in enumerate(pages, start=1):
            archive.writestr(ZipInfo(f"{number}.png", NO_DATE), page)
    return out.getvalue()
