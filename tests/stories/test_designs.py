"""Many designs in one order, each with a sheet place of its own, seen through the whole service."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.stories.place_cards import (
    COMMON,
    EMPTY,
    colour_of,
    guests,
    new_shop,
    pdf,
    picture,
    seen,
    shows,
    zipped,
)
from tests.stories.shop_files import change, ticket, why
from watcher.archive.listing import list_orders
from watcher.service.loop import Service

Once = Callable[[Path], Service]


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return new_shop(tmp_path / "shop", by_sight=False)


@pytest.fixture
def seated(shop: Path, once: Once, made_once: Callable[..., Path]) -> Path:
    """The print folder with 24 place cards made."""

    def make() -> None:
        guests(shop)
        once(shop)

    return made_once("24 place cards", shop, make)


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

    @pytest.mark.usefixtures("all_shown")
    def test_make_the_same_bytes_in_another_print_folder(self, tmp_path: Path, once: Once) -> None:
        made = []
        for folder in (new_shop(tmp_path / "here"), new_shop(tmp_path / "elsewhere")):
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
