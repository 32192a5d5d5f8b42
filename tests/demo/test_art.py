import hashlib
import shutil
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import numpy as np
import pytest
from PIL import Image

from watcher.demo import ORDERS, draw_demo, make_demo
from watcher.errors import WrongUsage
from watcher.settings.load import load_settings
from watcher.settings.model import Settings
from watcher.settings.starter import config_file
from watcher.terms import Duplex

# Pixels at 300 ppi with bleed, rounded up (by hand: 5.25 in x 300 = 1575); the ticket is exported without bleed.
PIXELS = {
    "invitation/lamp-night_x50_front.png": (1575, 2175),
    "invitation/lamp-night_x50_back.png": (1575, 2175),
    "visitor-card/keeper-ada_x100_front.png": (1075, 721),
    "visitor-card/keeper-ada_x100_back.png": (1075, 721),
    "postcard/tide-table_x30.png": (1312, 1819),
    "programme/foghorn-concert_x24.zip/1.png": (1350, 1725),
    "programme/foghorn-concert_x24.zip/2.png": (1350, 1725),
    "thank-you/soup-thanks_x25_front.png": (1725, 1350),
    "thank-you/soup-thanks_x25_back.png": (1725, 1350),
    "boat-ticket/boat-to-the-head_x40.png": (1050, 600),
}


@pytest.fixture(scope="module")
def inbox(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    draw_demo(folder)
    return folder / "inbox"


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """What the demo's print folder is made with."""
    shutil.copy(config_file("demo.toml"), tmp_path / "settings.toml")
    return load_settings(tmp_path / "settings.toml")


def pictures(inbox: Path) -> dict[str, Image.Image]:
    """Every picture of the inbox, the pages of a ZIP too, by its name there."""
    found = {}
    for path in sorted(path for path in inbox.rglob("*") if path.is_file()):
        name = path.relative_to(inbox).as_posix()
        if path.suffix == ".zip":
            with ZipFile(path) as archive:
                found |= {f"{name}/{page}": Image.open(BytesIO(archive.read(page))) for page in archive.namelist()}
        else:
            found[name] = Image.open(BytesIO(path.read_bytes()))
    return found


def test_the_inbox_holds_these_pictures_at_these_sizes(inbox: Path) -> None:
    assert {name: picture.size for name, picture in pictures(inbox).items()} == PIXELS


def test_every_picture_names_its_resolution(inbox: Path) -> None:
    """PNG counts pixels in a metre: 300 ppi reads back as 299.9994 (ISO/IEC 15948 11.3.5.3, from memory)."""
    for picture in pictures(inbox).values():
        assert picture.info["dpi"] == pytest.approx((300, 300), abs=0.01)


def test_turned_or_mirrored_art_shows(inbox: Path) -> None:
    """No picture equals itself mirrored or turned by half: a slip on the sheet would be seen."""
    for name, picture in pictures(inbox).items():
        pixels = np.asarray(picture.convert("L").reduce(4), dtype=int)
        for other in (pixels[:, ::-1], pixels[::-1], pixels[::-1, ::-1]):
            assert (np.abs(pixels - other) > 40).mean() > 0.01, name


def test_front_and_back_differ(inbox: Path) -> None:
    assert len({hashlib.sha256(picture.tobytes()).digest() for picture in pictures(inbox).values()}) == len(PIXELS)


def test_art_reaches_the_edge(inbox: Path) -> None:
    """No bare paper at the rim: a cut that is off would show white."""
    for name, picture in pictures(inbox).items():
        pixels = np.asarray(picture)
        for edge in (pixels[0], pixels[-1], pixels[:, 0], pixels[:, -1]):
            assert not (edge == 255).all(axis=-1).any(), name


def test_drawing_again_gives_the_same_bytes(inbox: Path, tmp_path: Path) -> None:
    draw_demo(tmp_path)
    for path in inbox.rglob("*.*"):
        assert (tmp_path / "inbox" / path.relative_to(inbox)).read_bytes() == path.read_bytes()


def test_each_order_is_drawn_for_its_card(settings: Settings) -> None:
    """Size and sides are the card's; the ticket alone comes without the bleed that its card wants."""
    for order in ORDERS:
        card = settings.card(order.card)
        assert (order.trim, len(order.paint)) == (card.trim, card.sides)
        assert order.bleed == (0 if order.card == "boat-ticket" else card.bleed)
        assert card.bleed > 0


def test_each_card_of_the_settings_has_an_order(settings: Settings) -> None:
    assert {order.card for order in ORDERS} == set(settings.cards)
    assert settings.defaults.card in settings.cards


def test_the_demo_shows_both_papers_and_both_ways_to_print(settings: Settings) -> None:
    sheets = [settings.sheet_for(card) for card in settings.cards.values()]
    assert {tuple(map(float, (sheet.size.width, sheet.size.height))) for sheet in sheets} == {
        (215.9, 279.4),
        (210.0, 297.0),
    }
    assert {settings.printer_for(sheet).duplex for sheet in sheets} == {Duplex.AUTOMATIC, Duplex.MANUAL}


def test_the_demo_makes_a_whole_print_folder_and_overwrites_none(tmp_path: Path) -> None:
    """The folders that the README names."""
    make_demo(tmp_path / "demo")
    made = {path.name for path in (tmp_path / "demo").iterdir()}
    assert made == {"settings.toml", "inbox", "outbox", "held", "archive", "state"}
    with pytest.raises(WrongUsage, match="Choose another folder"):
        make_demo(tmp_path / "demo")
