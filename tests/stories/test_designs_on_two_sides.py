"""Many designs with backs: each back lies behind its own front, and the customer sees all of them."""

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest
from numpy.lib.stride_tricks import sliding_window_view
from PIL import Image

from tests.stories.place_cards import (
    COMMON,
    EMPTY,
    HEIGHT_MM,
    MIDDLES,
    WIDTH_MM,
    alike,
    colour_of,
    guests,
    new_shop,
    numbered,
    pdf,
    picture,
    seen,
    shows,
    zipped,
)
from tests.stories.shop_files import change, ticket, why
from watcher.service.loop import Service
from watcher.terms import Sequencing

Once = Callable[[Path], Service]


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return new_shop(tmp_path / "shop")


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


@pytest.mark.usefixtures("all_shown")
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
