"""Orders that share sheets, through the whole service: what comes of them, and of those that save nothing."""

from collections.abc import Callable
from pathlib import Path

import pypdfium2
from PIL import Image

from tests.stories.gang.a_gang import COLOURS, NAMES, Once, folders
from tests.stories.shop_files import log, ticket


class TestFiveCardsOfOneKind:
    def test_are_one_run(self, made: Path) -> None:
        (run,) = folders(made)
        names = sorted(file.name.replace(run, "RUN") for file in (made / "outbox" / run).iterdir())
        assert names == sorted(
            [
                *("RUN_sheets.pdf", "RUN_instructions.pdf", "RUN_preview.png"),
                *(f"{name}_{what}" for name in NAMES for what in ("ticket.toml", "card.png")),
            ]
        )
        assert sorted(path.name for path in (made / "archive").iterdir()) == sorted(NAMES)
        assert all((made / f"archive/{name}/{name}_ticket.toml").is_file() for name in NAMES)

    def test_have_a_ticket_each_that_names_the_run_and_the_orders_own_places(self, made: Path) -> None:
        (run,) = folders(made)
        told = {name: ticket(made, name) for name in NAMES}
        assert {one["run"] for one in told.values()} == {run}
        assert {tuple(one["run_orders"]) for one in told.values()} == {NAMES}
        assert {one["run_sheets"] for one in told.values()} == {1}
        places = [place["number"] for one in told.values() for place in one["places"]]
        assert len(places) == len(set(places)) == 9
        assert [len(one["places"]) for one in told.values()] == [1, 2, 2, 2, 2]

    def test_have_every_back_behind_its_own_front(self, made: Path) -> None:
        """The finished pages, rendered by pdfium; the tickets say where to look."""
        (run,) = folders(made)
        pdf = pypdfium2.PdfDocument(made / "outbox" / run / f"{run}_sheets.pdf")
        scale = 2.0
        front, back = (page.render(scale=scale).to_pil().convert("RGB") for page in pdf)
        flipped = back.transpose(Image.Transpose.FLIP_LEFT_RIGHT)  # turned on the long edge of an upright page
        for number, name in enumerate(NAMES):
            for place in ticket(made, name)["places"]:
                turned = place["turn"] in (90, 270)
                width, height = (55, 85) if turned else (85, 55)
                x = (place["x_mm"] + width * 0.85) * scale * 72 / 25.4
                y = front.height - (place["y_mm"] + height * 0.15) * scale * 72 / 25.4
                assert front.getpixel((x, y)) == _rgb(COLOURS[number]), (name, place)
                assert flipped.getpixel((x, y)) == _rgb(COLOURS[number - 1]), (name, place)

    def test_are_told_in_the_log(self, made: Path) -> None:
        (run,) = folders(made)
        assert f"{run}: made: 1 sheet for 5 orders instead of 5" in log(made)

    def test_are_not_made_again_while_the_run_lies_in_the_outbox(
        self, made: Path, once: Once, drop: Callable[..., None]
    ) -> None:
        run = folders(made)
        drop(made, f"{NAMES[1]}_x2", COLOURS[1], COLOURS[0])
        assert once(made).making.made == 0
        assert folders(made) == run
        assert f"the same art again; its sheets still lie in the outbox ({run[0]})" in log(made)

    def test_are_made_again_once_the_run_has_been_collected(
        self, made: Path, once: Once, drop: Callable[..., None]
    ) -> None:
        (run,) = folders(made)
        for file in (made / "outbox" / run).iterdir():
            file.unlink()
        (made / "outbox" / run).rmdir()
        drop(made, f"{NAMES[1]}_x2", COLOURS[1], COLOURS[0])
        assert once(made).making.made == 1
        assert folders(made) == [f"{NAMES[1]}-2"]

    def test_are_remembered_when_the_journal_is_lost(self, made: Path, once: Once, drop: Callable[..., None]) -> None:
        for file in (made / "state").glob("journal.sqlite*"):
            file.unlink()
        self.test_are_not_made_again_while_the_run_lies_in_the_outbox(made, once, drop)

    def test_newer_art_is_pointed_to_in_the_run(self, made: Path, once: Once, drop: Callable[..., None]) -> None:
        (run,) = folders(made)
        drop(made, f"{NAMES[1]}_x2", "#102030", COLOURS[0])
        once(made)
        note = made / "outbox" / run / f"NEWER ART IN {NAMES[1]}-2.txt"
        assert f"under the name {NAMES[1]}" in note.read_text()


def _rgb(colour: str) -> tuple[int, int, int]:
    return tuple(int(colour[at : at + 2], 16) for at in (1, 3, 5))


class TestWhatSavesNothing:
    def test_is_made_singly(self, shop: Path, once: Once, drop: Callable[..., None]) -> None:
        """Nine on a sheet: eighteen cards are two sheets, whatever they share."""
        for number, name in enumerate(NAMES[:2]):
            drop(shop, f"{name}_x18", COLOURS[number])
        assert once(shop).making.made == 2
        assert folders(shop) == ["apple", "birch"]
        assert "run" not in ticket(shop, "apple")

    def test_is_left_out_of_a_run_of_others(self, shop: Path, once: Once, drop: Callable[..., None]) -> None:
        for number, name in enumerate(NAMES[:3]):
            drop(shop, f"{name}_x{18 if name == 'birch' else 2}", COLOURS[number])
        once(shop)
        assert ticket(shop, "apple")["run_orders"] == ["apple", "cedar"]
        assert "run" not in ticket(shop, "birch")

    def test_an_order_alone_is_made_as_ever(self, shop: Path, once: Once, drop: Callable[..., None]) -> None:
        drop(shop, "apple_x2")
        once(shop)
        assert folders(shop) == ["apple"]
