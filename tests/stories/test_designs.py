"""Many designs in one order, seen through the whole service.

Every design has a colour of its own, told by pdfium's rendering of the finished sheet at the middle of each place.
Where the middles are, and where the sheet's turn brings them, is reckoned here: 85 x 55 mm with 6 mm lanes on US letter
(8.5 x 11 in, 25.4 mm to the inch: NIST SP 811 B.8) is two columns of four; a sheet turned on its long edge changes left
and right, on its short edge top and bottom (RFC 8011 5.2.8).
"""

import io
import zipfile
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from numpy.lib.stride_tricks import sliding_window_view
from PIL import Image, ImageDraw
from reportlab.pdfgen.canvas import Canvas

from tests.stories.shop_files import change, ticket, why
from watcher.archive.listing import list_orders
from watcher.service.loop import Service
from watcher.terms import Sequencing

Once = Callable[[Path], Service]
SETTINGS = """
[service]
quiet = "0 s"
events = "polling"
[cards.place]
trim = "85 x 55 mm"
bleed = "3 mm"
sides = 1
sheet = "letter"
warn_ppi = 60
hold_ppi = 40
[cards.named]
trim = "85 x 55 mm"
bleed = "3 mm"
sheet = "letter"
warn_ppi = 60
hold_ppi = 40
[sheets.letter]
size = "letter"
printer = "office"
[printers.office]
flip = "long-edge"
"""
WIDTH_MM, HEIGHT_MM = 215.9, 279.4
ROWS, COLUMNS = (-1.5, -0.5, 0.5, 1.5), (-1, 1)
MIDDLES = [(WIDTH_MM / 2 + across * 45.5, HEIGHT_MM / 2 - down * 61) for down in ROWS for across in COLUMNS]
COMMON = (250, 250, 40)
EMPTY = (255, 255, 255)
PX = (258, 173)  # 91 x 61 mm at 72 ppi


def colour_of(design: int, side: str = "front") -> tuple[int, int, int]:
    """A colour that no other design has, nor any back."""
    return (design % 8 * 32, design // 8 * 32, 60 if side == "front" else 200)


def picture(colour: tuple[int, int, int], size: tuple[int, int] = PX) -> bytes:
    image = Image.new("RGB", size, colour)
    pen = ImageDraw.Draw(image)
    pen.rectangle([size[0] // 8, size[1] // 8, size[0] // 4, size[1] // 4], fill="black")  # neither flat nor even
    buffer = io.BytesIO()
    image.save(buffer, "PNG")
    return buffer.getvalue()


def pdf(colours: Sequence[tuple[int, int, int]]) -> bytes:
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(91 / 25.4 * 72, 61 / 25.4 * 72), invariant=1)
    for red, green, blue in colours:
        canvas.setFillColorRGB(red / 255, green / 255, blue / 255)
        canvas.rect(-10, -10, 400, 400, stroke=0, fill=1)
        canvas.setFillColorRGB(0, 0, 0)
        canvas.rect(30, 30, 20, 10, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def zipped(pictures: dict[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, data in pictures.items():
            archive.writestr(zipfile.ZipInfo(name), data)
    return buffer.getvalue()


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    for card in ("place", "named"):
        (folder / "inbox" / card).mkdir(parents=True)
    (folder / "settings.toml").write_text(SETTINGS)
    return folder


def guests(folder: Path, count: int = 24, **more: bytes) -> None:
    """A ZIP of so many numbered place cards."""
    cards = {f"{number:02d}.png": picture(colour_of(number)) for number in range(1, count + 1)}
    (folder / "inbox/place/guests.zip").write_bytes(zipped(cards | more))


@pytest.fixture
def seated(shop: Path, once: Once, made_once: Callable[..., Path]) -> Path:
    """The print folder with 24 place cards made."""

    def make() -> None:
        guests(shop)
        once(shop)

    return made_once("24 place cards", shop, make)


def numbered(folder: Path, numbers: Sequence[int], size: tuple[int, int] = PX) -> None:
    """Fronts and backs of numbered names."""
    for number in numbers:
        for side in ("front", "back"):
            file = folder / f"inbox/named/spring_{number:02d}_{side}.png"
            file.write_bytes(picture(colour_of(number, side), size))


def seen(file: Path, middles: Sequence[tuple[float, float]] = MIDDLES) -> list[list[tuple[int, int, int]]]:
    """The colour at each middle of each page; points of 1/72 in are the pixels."""
    pages = []
    with closing(pypdfium2.PdfDocument(file)) as document:
        for page in document:
            pixels = page.render(scale=1, rev_byteorder=True).to_numpy()
            at = [(round(x / 25.4 * 72), round((HEIGHT_MM - y) / 25.4 * 72)) for x, y in middles]
            pages.append([tuple(int(value) for value in pixels[down, across][:3]) for across, down in at])
    return pages


def alike(one: tuple[int, int, int], other: tuple[int, int, int]) -> bool:
    return all(abs(a - b) <= 3 for a, b in zip(one, other, strict=True))


def shows(found: Sequence[tuple[int, int, int]], wanted: Sequence[tuple[int, int, int]]) -> bool:
    return len(found) == len(wanted) and all(alike(one, other) for one, other in zip(found, wanted, strict=True))


class TestPlaceCards:
    def test_24_are_three_sheets_and_every_place_of_every_sheet_shows_its_own(self, seated: Path) -> None:
        pages = seen(seated / "outbox/guests/guests_sheets.pdf")
        assert len(pages) == 3
        for sheet, found in enumerate(pages):
            assert shows(found, [colour_of(sheet * 8 + place) for place in range(1, 9)]), sheet

    def test_say_their_number_in_the_log_and_to_machines(self, seated: Path) -> None:
        assert "guests: made: 24 designs x 1 card = 3 sheets\n" in (seated / "outbox/log.txt").read_text()
        made = ticket(seated, "guests")
        assert {key: made[key] for key in ("designs", "sequence", "quantity", "up", "sheets")} == {
            "designs": 24,
            "sequence": "across",
            "quantity": 1,
            "up": 8,
            "sheets": 3,
        }
        assert [(art["design"], art["file"], art["member"]) for art in made["art"]][16] == (17, "guests.zip", "17.png")
        assert [form["designs"][0] for form in made["forms"]] == [1, 9, 17]
        assert len(made["places"]) == 8

    def test_in_stacks_lie_in_order_when_the_cut_stacks_are_put_on_each_other(self, shop: Path, once: Once) -> None:
        change(shop, "sides = 1\n", 'sides = 1\nsequence = "stacks"\n')
        guests(shop, 21)
        once(shop)
        pages = seen(shop / "outbox/guests/guests_sheets.pdf")
        pile = [page[place] for place in range(8) for page in pages]
        assert len(pages) == 3
        assert shows(pile, [*map(colour_of, range(1, 22)), EMPTY, EMPTY, EMPTY])

    def test_in_a_pdf_of_many_pages_are_the_same(self, shop: Path, once: Once) -> None:
        (shop / "inbox/place/guests.pdf").write_bytes(pdf([colour_of(number) for number in range(1, 11)]))
        once(shop)
        first, second = seen(shop / "outbox/guests/guests_sheets.pdf")
        assert shows(first, [colour_of(number) for number in range(1, 9)])
        assert shows(second, [colour_of(9), colour_of(10), *[EMPTY] * 6])

    def test_the_quantity_counts_each_and_overs_do_too(self, shop: Path, once: Once) -> None:
        guests(shop, 16, **{"job.toml": b"quantity = 3\novers = 1"})
        once(shop)
        assert "16 designs x 3 cards = 6 sheets, plus 2 spare" in (shop / "outbox/log.txt").read_text()
        assert len(seen(shop / "outbox/guests/guests_sheets.pdf")) == 8

    def test_a_spare_sheet_is_one_more_of_each_different_one(self, shop: Path, once: Once) -> None:
        guests(shop, 16, **{"job.toml": b'quantity = 3\novers = "1 sheet"'})
        once(shop)
        assert "16 designs x 3 cards = 6 sheets, plus 2 spare" in (shop / "outbox/log.txt").read_text()
        assert [form["sheets"] for form in ticket(shop, "guests")["forms"]] == [4, 4]

    def test_a_spare_sheet_of_the_card_is_not_for_several_designs(self, shop: Path, once: Once) -> None:
        """Place cards, one of each: a sheet more of each form would make them twice."""
        change(shop, "[cards.named]", '[cards.named]\novers = "1 sheet"')
        guests(shop, 16)
        once(shop)
        assert "16 designs x 1 card = 2 sheets\n" in (shop / "outbox/log.txt").read_text()

    def test_different_numbers_of_sheets_stay_one_file(self, shop: Path, once: Once) -> None:
        guests(shop, 10, **{"job.toml": b"quantity = 4"})
        once(shop)
        pages = seen(shop / "outbox/guests/guests_sheets.pdf")
        assert [form["sheets"] for form in ticket(shop, "guests")["forms"]] == [4, 1]
        assert shows(pages[3], [colour_of(number) for number in range(1, 9)])
        assert shows(pages[4], [colour_of(9), colour_of(10)] * 4)

    def test_the_same_again_makes_nothing_but_another_sequence_is_another_order(self, shop: Path, once: Once) -> None:
        guests(shop, 12)
        once(shop)
        guests(shop, 12)
        assert once(shop).making.made == 0
        guests(shop, 12, **{"job.toml": b'sequence = "stacks"'})
        assert once(shop).making.made == 1

    def test_make_the_same_bytes_in_another_print_folder(self, shop: Path, tmp_path: Path, once: Once) -> None:
        other = tmp_path / "elsewhere"
        (other / "inbox/place").mkdir(parents=True)
        (other / "settings.toml").write_text(SETTINGS)
        made = []
        for folder in (shop, other):
            guests(folder, 12)
            once(folder)
            names = ("sheets.pdf", "preview.png", "instructions.pdf")
            made.append([(folder / f"outbox/guests/guests_{name}").read_bytes() for name in names])
        assert made[0] == made[1]

    def test_a_gap_in_the_numbers_is_held_naming_it(self, shop: Path, once: Once) -> None:
        cards = {f"{number}.png": picture(colour_of(number)) for number in (1, 2, 5)}
        (shop / "inbox/place/guests.zip").write_bytes(zipped(cards))
        once(shop)
        assert "Of the designs of guests, 3 and 4 are missing." in why(shop, "guests")

    def test_what_is_to_be_said_of_many_is_said_once_with_their_names(self, shop: Path, once: Once) -> None:
        cards = {f"{number}.png": picture(colour_of(number), (86, 58)) for number in range(1, 13)}
        (shop / "inbox/place/guests.zip").write_bytes(zipped(cards))
        once(shop)
        said = why(shop, "guests")
        assert said.count("24 ppi at 91 x 61 mm") == 1
        assert "The same goes for 2.png, 3.png, 4.png, 5.png, 6.png, 7.png and 5 more." in said

    def test_one_that_is_spoiled_is_made_again_alone(self, seated: Path, once: Once) -> None:
        guests(seated, 24, **{"job.toml": b"only = [17]"})
        assert once(seated).making.made == 1
        (page,) = seen(seated / "outbox/guests-2/guests-2_sheets.pdf")
        assert shows(page, [colour_of(17), *[EMPTY] * 7])
        assert ticket(seated, "guests-2")["only"] == [17]

    def test_one_that_is_spoiled_comes_out_of_the_archive_alone(self, seated: Path, once: Once) -> None:
        shop = seated
        (shop / "inbox/again.toml").write_text('repeat = "guests"\nonly = [17]\n')
        assert once(shop).making.made == 1
        (page,) = seen(shop / "outbox/guests-2/guests-2_sheets.pdf")
        assert shows(page, [colour_of(17), *[EMPTY] * 7])
        assert list_orders(shop / "archive").use.cards == 24 + 1
        assert not list((shop / "outbox/guests").glob("NEWER*"))
        (shop / "inbox/again.toml").write_text('repeat = "guests"\nonly = [25]\n')
        once(shop)
        assert "There is no design 25 in the order; it has 1 to 24." in why(shop, "guests")

    def test_all_of_them_come_out_of_the_archive_as_the_same_bytes(self, shop: Path, once: Once) -> None:
        (shop / "brand.png").write_bytes(picture(COMMON))
        change(shop, "[cards.named]", '[cards.named]\ncommon_back = "brand.png"\nsequence = "stacks"')
        cards = {f"{number}.png": picture(colour_of(number)) for number in range(1, 12)}
        (shop / "inbox/named/guests.zip").write_bytes(zipped(cards))
        once(shop)
        (shop / "inbox/again.toml").write_text('repeat = "guests"\n')
        assert once(shop).making.made == 1
        made = [(shop / f"outbox/{name}/{name}_sheets.pdf").read_bytes() for name in ("guests", "guests-2")]
        assert made[0] == made[1]

    def test_a_number_of_sheets_does_not_say_which_designs_are_wanted(self, shop: Path, once: Once) -> None:
        guests(shop, 9)
        once(shop)
        (shop / "inbox/again.toml").write_text('repeat = "guests"\nsheets_only = 1\n')
        once(shop)
        assert "a number of sheets does not tell which of them are wanted" in why(shop, "guests")

    def test_more_sheets_than_one_file_holds_are_held(self, shop: Path, once: Once) -> None:
        guests(shop, 10, **{"job.toml": b"quantity = 9999"})
        once(shop)
        assert "10 designs x 9999 cards = 12499 sheets: that is more than the 5,000 sheets" in why(shop, "guests")


class TestTwoSides:
    def behind(self, flip: str) -> list[tuple[float, float]]:
        """Where on the back page lies what is behind each place."""
        return [(WIDTH_MM - x, y) if flip == "long-edge" else (x, HEIGHT_MM - y) for x, y in MIDDLES]

    @pytest.mark.parametrize("flip", ["long-edge", "short-edge"])
    def test_with_a_common_back_it_lies_behind_every_card(self, shop: Path, once: Once, flip: str) -> None:
        (shop / "brand.png").write_bytes(picture(COMMON))
        change(shop, "[cards.named]", '[cards.named]\ncommon_back = "brand.png"')
        change(shop, '"long-edge"', f'"{flip}"')
        cards = {f"{number}.png": picture(colour_of(number)) for number in range(1, 12)}
        (shop / "inbox/named/guests.zip").write_bytes(zipped(cards))
        once(shop)
        file = shop / "outbox/guests/guests_sheets.pdf"
        fronts, backs = seen(file)[0::2], seen(file, self.behind(flip))[1::2]
        assert shows(fronts[1], [*map(colour_of, (9, 10, 11)), *[EMPTY] * 5])
        assert shows(backs[0], [COMMON] * 8)
        assert shows(backs[1], [*[COMMON] * 3, *[EMPTY] * 5])
        assert [art.get("design") for art in ticket(shop, "guests")["art"]] == [*range(1, 12), None]

    @pytest.mark.parametrize("flip", ["long-edge", "short-edge"])
    def test_pages_in_turn_lie_each_back_behind_its_own_front(self, shop: Path, once: Once, flip: str) -> None:
        change(shop, '"long-edge"', f'"{flip}"\nduplex = "manual"')
        pages = [colour_of(number, side) for number in range(1, 11) for side in ("front", "back")]
        (shop / "inbox/named/guests.pdf").write_bytes(pdf(pages))
        (shop / "inbox/named/guests.toml").write_text('designs = "pages"\n')
        once(shop)
        fronts = seen(shop / "outbox/guests/guests_1-fronts.pdf")
        backs = seen(shop / "outbox/guests/guests_2-backs.pdf", self.behind(flip))
        for found, side in ((fronts, "front"), (backs, "back")):
            assert shows(found[0], [colour_of(number, side) for number in range(1, 9)])
            assert shows(found[1], [colour_of(9, side), colour_of(10, side), *[EMPTY] * 6])


class TestThePictureForTheCustomer:
    def found(self, file: Path) -> list[tuple[int, int, int]]:
        """The colours of cards in a picture, row by row: each where a part of it this large has it alone."""
        with Image.open(file) as shown:
            pixels = np.asarray(shown.convert("RGB"))
        inner = sliding_window_view(pixels, (9, 9), axis=(0, 1))[::9, ::9].reshape(-1, 3, 81)
        even = inner.max(axis=2) == inner.min(axis=2)
        colours = [tuple(map(int, one)) for one in inner[:, :, 0][even.all(axis=1)]]
        return list(dict.fromkeys(colours))

    def cards_in(self, file: Path, wanted: Sequence[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
        return [colour for colour in self.found(file) if any(alike(colour, one) for one in wanted)]

    @pytest.mark.parametrize("sequence", list(Sequencing))
    def test_shows_every_design_in_the_order_of_their_numbers(
        self, shop: Path, once: Once, sequence: Sequencing
    ) -> None:
        change(shop, "sides = 1", f'sides = 1\napprove = true\nsequence = "{sequence}"')
        guests(shop, 20)
        assert once(shop).making.held == 1
        wanted = [colour_of(number) for number in range(1, 21)]
        shown = self.cards_in(shop / "held/guests/guests_card.png", wanted)
        assert shows(shown, wanted)
        assert "see these 20 cards before they are made; guests_card.png shows them as they" in why(shop, "guests")

    def test_is_the_same_when_they_are_made(self, shop: Path, once: Once) -> None:
        change(shop, "sides = 1", "sides = 1\napprove = true")
        guests(shop, 20)
        once(shop)
        before = (shop / "held/guests/guests_card.png").read_bytes()
        (shop / "held/guests").rename(shop / "held/guests ok")
        assert once(shop).making.made == 1
        assert (shop / "outbox/guests/guests_card.png").read_bytes() == before

    def test_shows_a_back_that_all_share_once_and_last(self, shop: Path, once: Once) -> None:
        (shop / "brand.png").write_bytes(picture(COMMON))
        change(shop, "[cards.named]", '[cards.named]\napprove = true\ncommon_back = "brand.png"')
        cards = {f"{number}.png": picture(colour_of(number)) for number in range(1, 12)}
        (shop / "inbox/named/guests.zip").write_bytes(zipped(cards))
        once(shop)
        wanted = [*(colour_of(number) for number in range(1, 12)), COMMON]
        assert shows(self.cards_in(shop / "held/guests/guests_card.png", wanted), wanted)

    def test_shows_both_sides_of_each_without_the_check_by_sight_too(self, shop: Path, once: Once) -> None:
        change(shop, "[service]", "[service]\nread_back = false")
        change(shop, "[cards.named]", "[cards.named]\napprove = true")
        numbered(shop, [1, 2, 3, 4, 5, 6, 7, 8, 9])
        (shop / "inbox/named/spring.toml").write_text("designs = 9\n")
        once(shop)
        wanted = [colour_of(number, side) for number in range(1, 10) for side in ("front", "back")]
        assert shows(self.cards_in(shop / "held/spring/spring_card.png", wanted), wanted)


class TestNumberedNamesUnderOneTicket:
    def drop_ticket(self, folder: Path, text: str = "") -> None:
        (folder / "inbox/named/spring.toml").write_text(f"# under one ticket\n{text}\n")

    def test_are_one_order_as_soon_as_all_that_it_says_are_there(self, shop: Path, once: Once) -> None:
        numbered(shop, [1, 2, 3])
        self.drop_ticket(shop, "designs = 3\nquantity = 2")
        assert once(shop).making.made == 1
        (front, back) = seen(shop / "outbox/spring/spring_sheets.pdf")
        assert shows(front, [*[colour_of(number) for number in (1, 2, 3)] * 2, EMPTY, EMPTY])
        assert alike(back[1], colour_of(1, "back"))  # the upper right of the back page lies behind the upper left
        assert len(list((shop / "archive/spring").iterdir())) == 8

    def test_wait_while_some_of_them_have_not_come(self, shop: Path, once: Once) -> None:
        numbered(shop, [1, 2])
        self.drop_ticket(shop, "designs = 4")
        assert once(shop).looked.waiting == ("spring: waits for its other designs: 3 and 4 are missing",)

    def test_wait_for_more_where_nobody_says_how_many(self, shop: Path, once: Once) -> None:
        numbered(shop, [1, 2])
        self.drop_ticket(shop)
        service = once(shop)
        assert service.making.made == 0
        assert service.looked.waiting[0].startswith("spring: 2 designs so far; nothing says how many there are")

    def test_are_made_once_nothing_more_has_come_for_as_long_as_an_other_side_is_waited_for(
        self, shop: Path, once: Once
    ) -> None:
        change(shop, 'quiet = "0 s"', 'quiet = "0 s"\nwait_for_other_side = "0 s"')
        numbered(shop, [1, 2])
        self.drop_ticket(shop)
        assert once(shop).making.made == 1
        assert ticket(shop, "spring")["designs"] == 2

    def test_that_lack_some_for_too_long_are_held_and_find_them_later(self, shop: Path, once: Once) -> None:
        change(shop, 'quiet = "0 s"', 'quiet = "0 s"\nwait_for_other_side = "0 s"')
        numbered(shop, [1, 2, 5])
        self.drop_ticket(shop, "designs = 5")
        assert once(shop).making.held == 1
        assert "Of the designs of spring, 3 and 4 are missing." in why(shop, "spring")
        numbered(shop, [3, 4])
        assert once(shop).making.made == 1
        assert ticket(shop, "spring")["designs"] == 5
        assert list((shop / "held").iterdir()) == []

    def test_in_a_zip_with_their_ticket_are_made_at_once(self, shop: Path, once: Once) -> None:
        names = {
            f"spring_{number}_{side}.png": picture(colour_of(number, side))
            for number in (1, 2)
            for side in ("front", "back")
        }
        (shop / "inbox/named/all.zip").write_bytes(zipped(names | {"spring.toml": b"quantity = 4"}))
        assert once(shop).making.made == 1
        assert "2 designs x 4 cards = 1 sheet" in (shop / "outbox/log.txt").read_text()

    def test_that_are_held_for_their_art_are_accepted_as_a_whole(self, shop: Path, once: Once) -> None:
        numbered(shop, [1, 2], size=(86, 58))
        self.drop_ticket(shop, "designs = 2")
        once(shop)
        assert (shop / "held/spring").exists()
        (shop / "held/spring").rename(shop / "held/spring ok")
        assert once(shop).making.made == 1
        assert ticket(shop, "spring")["designs"] == 2
