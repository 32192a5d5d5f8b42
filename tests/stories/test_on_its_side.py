"""Art that lies on its side on all sides is the same card with width and height exchanged, all the way to the paper."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from tests.long_form import in_long_form
from tests.stories.shop_files import change, ticket
from watcher.commands.check_report import check_art
from watcher.service.loop import Service
from watcher.settings.load import load_settings

Once = Callable[[Path], Service]
LYING_PX = (522, 378)  # 7 x 5 in with 1/8 in bleed at about 72 ppi, for a card of 5 x 7 in
DPI = 72
MM = 25.4 / DPI


def pages(file: Path) -> list[Image.Image]:
    with pypdfium2.PdfDocument(file) as document:
        return [page.render(scale=DPI / 72).to_pil().convert("RGB") for page in document]


def crop(page: Image.Image, box: tuple[float, float, float, float]) -> Image.Image:
    """A box in mm, origin lower left."""
    left, bottom, right, top = (side / MM for side in box)
    return page.crop((round(left), round(page.height - top), round(right), round(page.height - bottom)))


def card_in_hand(file: Path, said: dict, place: dict, *, about_upright_axis: bool) -> tuple[Image.Image, Image.Image]:
    """The cut card: its front upright, and what is seen when the card is then turned like a book page.

    By paper alone: the back is what lies behind the front's place once the sheet has been turned; the ticket's word on
    backs is not asked. Turned about its level axis, a sheet shows its back half a turn from how a book page would.
    """
    front, back = pages(file)
    size, sheet = said["card_size"], said["sheet"]
    sides = size["trim_width_mm"], size["trim_height_mm"]
    width, height = sides if place["turn"] % 180 == 0 else sides[::-1]
    left, bottom = place["x_mm"], place["y_mm"]
    box = left, bottom, left + width, bottom + height
    if about_upright_axis:
        behind = sheet["width_mm"] - box[2], bottom, sheet["width_mm"] - left, box[3]
    else:
        behind = left, sheet["height_mm"] - box[3], box[2], sheet["height_mm"] - bottom
    seen = crop(front, box).rotate(-place["turn"], expand=True)
    other = crop(back, behind).rotate(place["turn"] + (0 if about_upright_axis else 180), expand=True)
    return seen, other


def trimmed(art: Path) -> Image.Image:
    image = Image.open(art).convert("RGB")
    return image.crop((9, 9, image.width - 9, image.height - 9))


def differ(one: Image.Image, other: Image.Image) -> float:
    """Mean difference in levels of 255; a picture that is turned or another one comes to more than 20."""
    assert abs(one.width - other.width) <= 3, (one.size, other.size)
    small = [np.asarray(image.resize((70, 50)), float) for image in (one, other)]
    return float(np.abs(small[0] - small[1]).mean())


UPRIGHT, LYING = ("5 x 7 in", LYING_PX), ("7 x 5 in", LYING_PX[::-1])
# The short form has each two of flip, backs and card together once, the long one all three.
WAYS = [
    ("long-edge", "head-to-head", *UPRIGHT),
    ("long-edge", "head-to-toe", *LYING),
    ("short-edge", "head-to-head", *LYING),
    ("short-edge", "head-to-toe", *UPRIGHT),
    *in_long_form(
        ("long-edge", "head-to-head", *LYING),
        ("long-edge", "head-to-toe", *UPRIGHT),
        ("short-edge", "head-to-head", *UPRIGHT),
        ("short-edge", "head-to-toe", *LYING),
    ),
]


@pytest.mark.parametrize(("flip", "backs", "trim", "px"), WAYS)
def test_the_cut_card_reads_as_its_art_and_its_back_as_backs_says(
    print_folder: Path,
    once: Once,
    drop_pair: Callable[..., None],
    flip: str,
    backs: str,
    trim: str,
    px: tuple[int, int],
) -> None:
    change(print_folder, 'trim = "5 x 7 in"', f'trim = "{trim}"\nbacks = "{backs}"')
    change(print_folder, 'flip = "long-edge"', f'flip = "{flip}"')
    drop_pair(print_folder / "inbox", size=px)
    art = [trimmed(print_folder / f"inbox/lantern_{side}.png") for side in ("front", "back")]
    assert once(print_folder).making.made == 1
    said, file = ticket(print_folder), print_folder / "outbox/lantern/lantern_sheets.pdf"
    assert said["card_size"]["trim_width_mm"] == (177.8 if px == LYING_PX else 127.0)
    for place in said["places"]:
        seen, turned = card_in_hand(file, said, place, about_upright_axis=flip == "long-edge")
        assert differ(seen, art[0]) < 6
        assert differ(turned, art[1] if backs == "head-to-head" else art[1].rotate(180)) < 6 < differ(turned, art[0])
    assert "card-on-its-side" in {finding["code"] for finding in said["findings"]}


def test_a_picture_turned_by_half_is_told_from_an_upright_one(draw_card: Callable[..., Path], tmp_path: Path) -> None:
    """What the tests here rest on."""
    art = trimmed(draw_card(tmp_path / "a.png", LYING_PX))
    assert differ(art, art.rotate(180)) > 12


def test_a_card_of_one_side_is_made_as_its_art_lies(print_folder: Path, once: Once, draw_card: Callable) -> None:
    draw_card(print_folder / "inbox/tag/sun.png", (173, 258))
    assert once(print_folder).making.made == 1
    assert ticket(print_folder, "sun")["card_size"]["trim_width_mm"] == 55.0


def test_one_side_on_its_side_and_one_upright_stays_held(
    print_folder: Path, once: Once, draw_card: Callable[..., Path]
) -> None:
    draw_card(print_folder / "inbox/lantern_front.png", LYING_PX)
    draw_card(print_folder / "inbox/lantern_back.png", LYING_PX[::-1], word="B")
    assert once(print_folder).making.made == 0
    assert "is lying on its side" in (print_folder / "held/lantern/why.txt").read_text()


def test_a_back_with_a_quarter_in_the_settings_follows_its_front(
    print_folder: Path, once: Once, draw_card: Callable[..., Path]
) -> None:
    """`back_quarter` says how a back is turned that lies on its side beside its front, whichever of them lies so."""
    change(print_folder, 'bleed = "0.125 in"', 'bleed = "0.125 in"\nback_quarter = "left"')
    draw_card(print_folder / "inbox/lantern_front.png", LYING_PX)
    back = trimmed(draw_card(print_folder / "inbox/lantern_back.png", LYING_PX[::-1], "#eee4d8", "B"))
    assert once(print_folder).making.made == 1
    said = ticket(print_folder)
    assert said["card_size"]["trim_width_mm"] == 177.8
    file = print_folder / "outbox/lantern/lantern_sheets.pdf"
    _, turned = card_in_hand(file, said, said["places"][0], about_upright_axis=True)
    assert differ(turned, back.rotate(90, expand=True)) < 6


def test_a_folded_cards_spread_on_its_side_stays_held(
    print_folder: Path, once: Once, drop_pair: Callable[..., None]
) -> None:
    """Exchanged, it would be folded at another edge."""
    change(print_folder, 'trim = "5 x 7 in"', 'trim = "2.5 x 7 in"\nfold = "left"')
    drop_pair(print_folder / "inbox", size=LYING_PX)
    assert once(print_folder).making.made == 0


@pytest.mark.usefixtures("all_shown")
def test_the_customers_picture_and_the_preview_show_it_upright(
    print_folder: Path, once: Once, drop_pair: Callable[..., None]
) -> None:
    drop_pair(print_folder / "inbox", size=LYING_PX)
    art = trimmed(print_folder / "inbox/lantern_front.png")
    once(print_folder)
    with Image.open(print_folder / "outbox/lantern/lantern_card.png") as picture:
        cards = np.asarray(picture.convert("RGB"), float)
    found = np.argwhere(np.abs(cards - [216, 228, 238]).max(axis=2) < 6)  # the front's ground
    (top, left), (bottom, right) = found.min(axis=0), found.max(axis=0)
    seen = Image.fromarray(cards[top : bottom + 1, left : right + 1].astype(np.uint8))
    assert differ(seen.resize(art.size), art) < 6


def test_corner_envelope_and_safe_zone_are_those_of_the_card_as_it_is_read(
    print_folder: Path, once: Once, drop_pair: Callable[..., None]
) -> None:
    more = 'bleed = "0.125 in"\nenvelope = "5.02 x 7.4 in"\ncorner = "3 mm"'
    change(print_folder, 'bleed = "0.125 in"', more)
    drop_pair(print_folder / "inbox", size=LYING_PX)
    once(print_folder)
    said = {finding["code"]: finding["message"] for finding in ticket(print_folder)["findings"]}
    assert "177.8 x 127 mm" in said["envelope-tight"]
    assert "187.96 x 127.51 mm" in said["envelope-tight"]


def test_a_repeat_is_the_same_sheet(print_folder: Path, once: Once, drop_pair: Callable[..., None]) -> None:
    drop_pair(print_folder / "inbox", size=LYING_PX)
    once(print_folder)
    (print_folder / "inbox/again.toml").write_text('repeat = "lantern"')
    once(print_folder)
    first, again = (
        (print_folder / f"outbox/{name}/{name}_sheets.pdf").read_bytes() for name in ("lantern", "lantern-2")
    )
    assert first == again
    said = ticket(print_folder, "lantern-2")
    assert said["repeat_of"] == "lantern"
    assert "settings-changed" not in {finding["code"] for finding in said["findings"]}


def test_common_art_on_its_side_goes_with_art_on_its_side(
    print_folder: Path, once: Once, draw_card: Callable[..., Path]
) -> None:
    draw_card(print_folder / "back.png", LYING_PX, word="B")
    change(print_folder, 'bleed = "0.125 in"', 'bleed = "0.125 in"\ncommon_back = "back.png"')
    draw_card(print_folder / "inbox/lantern.png", LYING_PX)
    draw_card(print_folder / "inbox/upright.png", LYING_PX[::-1])
    assert once(print_folder).making.made == 1
    assert ticket(print_folder)["card_size"]["trim_width_mm"] == 177.8
    assert (print_folder / "held/upright").is_dir()


@pytest.fixture
def designs(print_folder: Path, draw_card: Callable[..., Path]) -> Callable[..., None]:
    """Drop an order of numbered designs, both sides of each of one size."""

    def drop(*sizes: tuple[int, int]) -> None:
        for number, size in enumerate(sizes, start=1):
            for side, word in (("front", "F"), ("back", "B")):
                draw_card(print_folder / f"inbox/guest-{number}_{side}.png", size, word=f"{word}{number}")
        (print_folder / "inbox/guest.toml").write_text(f"designs = {len(sizes)}")

    return drop


def test_many_designs_on_their_side_are_made_so(print_folder: Path, once: Once, designs: Callable) -> None:
    designs(LYING_PX, LYING_PX, LYING_PX)
    assert once(print_folder).making.made == 1
    assert ticket(print_folder, "guest")["card_size"]["trim_width_mm"] == 177.8


def test_designs_of_which_one_lies_otherwise_are_held(print_folder: Path, once: Once, designs: Callable) -> None:
    designs(LYING_PX, LYING_PX[::-1], LYING_PX)
    assert once(print_folder).making.made == 0
    assert "guest-2_front.png" in (print_folder / "held/guest/why.txt").read_text()


@pytest.mark.parametrize("backs", ["head-to-head", "head-to-toe"])
def test_in_a_gang_run_it_lies_on_a_place_of_the_run_and_reads_as_its_art(
    print_folder: Path, once: Once, drop_pair: Callable[..., None], backs: str
) -> None:
    """Cards of 2.5 x 3.5 in, eight on a sheet: one order upright, the other landscape."""
    change(print_folder, 'trim = "5 x 7 in"', f'trim = "2.5 x 3.5 in"\nbacks = "{backs}"')
    change(print_folder, 'overs = "1 sheet"\n', "")
    change(print_folder, 'size = "letter"\n', 'size = "letter"\ngang = true\n')
    drop_pair(print_folder / "inbox", "lantern", size=(270, 198))
    drop_pair(print_folder / "inbox", "upright", size=(198, 270))
    art = {
        name: [trimmed(print_folder / f"inbox/{name}_{side}.png") for side in ("front", "back")]
        for name in ("lantern", "upright")
    }
    once(print_folder)
    (file,) = (print_folder / "outbox").glob("run-*/*_sheets.pdf")
    for name, (front, back) in art.items():
        said = ticket(print_folder, name)
        assert said["card_size"]["trim_width_mm"] == (88.9 if name == "lantern" else 63.5)
        seen, turned = card_in_hand(file, said, said["places"][0], about_upright_axis=True)
        assert differ(seen, front) < 7
        assert differ(turned, back if backs == "head-to-head" else back.rotate(180)) < 7


def test_check_says_what_will_be_made(
    print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], tmp_path: Path
) -> None:
    art = [draw_card(tmp_path / f"sun_{side}.png", LYING_PX, word=side) for side in ("front", "back")]
    lines = list(check_art(load_settings(print_folder / "settings.toml"), art, None))
    assert all(line.is_well for line in lines)
    assert any("made as a card of 177.8 x 127 mm" in line.text for line in lines)


def test_why_tells_what_an_acceptance_cuts_off_where_the_art_is_held_for_something_else(
    print_folder: Path, once: Once, draw_card: Callable[..., Path]
) -> None:
    """A square tag fills its card and loses its ends, which alone is a warning; it is held for being too coarse."""
    change(print_folder, "sides = 1", 'sides = 1\nshape_mismatch = "crop"')
    draw_card(print_folder / "inbox/tag/sun.png", (100, 100))
    assert once(print_folder).making.made == 0
    why = " ".join((print_folder / "held/sun/why.txt").read_text().split())
    assert "Besides: sun.png has another shape than the card" in why
    assert "mm at the top and the bottom are cut off" in why


def test_what_an_acceptance_does_is_all_told_at_once(
    print_folder: Path, once: Once, draw_card: Callable[..., Path]
) -> None:
    """A correction that cuts the backs off is not found only once something else has been accepted."""
    change(
        print_folder,
        'flip = "long-edge"',
        'flip = "long-edge"\n[printers.office.align.letter]\nshift = ["0 mm", "4 mm"]',
    )
    draw_card(print_folder / "inbox/lantern_front.png", (500, 500))
    draw_card(print_folder / "inbox/lantern_back.png", (500, 500), word="B")
    once(print_folder)
    why = " ".join((print_folder / "held/lantern/why.txt").read_text().split())
    assert "but the card is 127 x 177.8 mm" in why
    assert "The correction of office on letter moves the backs into the rim" in why
