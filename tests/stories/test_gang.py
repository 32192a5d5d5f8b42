"""Orders that share sheets, through the whole service, one behaviour a test. Rules: design sections 4, 7 and 9."""

import errno
import os
import re
import shutil
import time
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from tests.stories.shop_files import log, ticket
from watcher.commands.at_work import service_for
from watcher.outbox.product import Product
from watcher.service.loop import Service
from watcher.settings.load import load_settings

Once = Callable[[Path], Service]
Draw = Callable[..., Path]

SETTINGS = """
[service]
quiet = "0 s"
events = "polling"
[cards.tag]
trim = "85 x 55 mm"
bleed = "3 mm"
sheet = "a4"
warn_ppi = 60
hold_ppi = 40
[sheets.a4]
size = "A4"
unprintable = "4 mm"
gang = true
printer = "office"
[printers.office]
flip = "long-edge"
"""
PX = (258, 173)  # 85 x 55 mm with 3 mm bleed at about 72 ppi
COLOURS = ("#c03030", "#30a040", "#3050c0", "#c0a020", "#8030a0")
NAMES = ("apple", "birch", "cedar", "daisy", "elder")


@pytest.fixture
def shop(print_folder: Path) -> Path:
    (print_folder / "settings.toml").write_text(SETTINGS)
    return print_folder


@pytest.fixture
def drop(draw_card: Draw) -> Callable[..., None]:
    """Drop a card whose front has one colour and whose back another."""

    def drop(shop: Path, name: str, colour: str = COLOURS[0], back: str = "#e0e0e0", **more: str) -> None:
        stem = name.partition("_x")[0]
        draw_card(shop / f"inbox/{name}_front.png", PX, colour, "F")
        draw_card(shop / f"inbox/{name}_back.png", PX, back, "B")
        lines = [f"{key} = {value}" for key, value in more.items()]
        if lines:
            (shop / f"inbox/{stem}.toml").write_text("\n".join(lines))

    return drop


@pytest.fixture
def serve(inline_workers: None) -> Callable[[Path], Service]:
    """Let the service look until nothing is left to do now; gives it, still at work."""

    def serve(shop: Path, service: Service | None = None) -> Service:
        if service is None:
            service = service_for(load_settings(shop / "settings.toml"), once=False, to_screen=False)
            service.start()
        service._look_at = 0.0
        for _ in range(40):
            service.step(time.monotonic())
        return service

    return serve


def today() -> date:
    return datetime.now().astimezone().date()


def folders(shop: Path) -> list[str]:
    return sorted(path.name for path in (shop / "outbox").iterdir() if path.is_dir())


@pytest.fixture
def made(shop: Path, once: Once, drop: Callable[..., None], made_once: Callable[..., Path]) -> Path:
    """A print folder with a run of five orders, no two sides of them alike."""

    def make() -> None:
        for number, (name, colour) in enumerate(zip(NAMES, COLOURS, strict=True)):
            drop(shop, f"{name}_x{2 if number else 1}", colour, COLOURS[number - 1])
        once(shop)

    return made_once("a run of five", shop, make)


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


class TestWaiting:
    def test_an_order_waits_for_others(self, shop: Path, serve: Callable, drop: Callable[..., None]) -> None:
        drop(shop, "apple_x2")
        service = serve(shop)
        assert folders(shop) == []  # and nothing that was begun
        drop(shop, "birch_x2", COLOURS[1])
        serve(shop, service)
        assert folders(shop) == []
        service.stop()

    def test_ends_when_the_first_has_waited_long_enough(
        self, shop: Path, serve: Callable, drop: Callable[..., None]
    ) -> None:
        drop(shop, "apple_x2")
        service = serve(shop)
        service.stop()
        (note,) = (shop / "archive").glob(".taking-*.json")
        os.utime(note, (time.time() - 2 * 3600 - 1,) * 2)
        drop(shop, "birch_x2", COLOURS[1])
        serve(shop).stop()
        assert len(folders(shop)) == 1
        assert ticket(shop, "apple")["run_orders"] == ["apple", "birch"]

    @pytest.mark.parametrize("key", ["now", "due"])
    def test_ends_for_all_when_one_is_in_haste(
        self, shop: Path, serve: Callable, drop: Callable[..., None], key: str
    ) -> None:
        drop(shop, "apple_x2")
        service = serve(shop)
        drop(shop, "birch_x2", COLOURS[1], **{key: {"now": "true", "due": str(today())}[key]})
        serve(shop, service).stop()
        assert ticket(shop, "apple")["run_orders"] == ["apple", "birch"]

    def test_goes_on_when_there_is_time_until_the_due_date(
        self, shop: Path, serve: Callable, drop: Callable[..., None]
    ) -> None:
        drop(shop, "apple_x2", due=str(today() + timedelta(days=3)))
        serve(shop).stop()
        assert folders(shop) == []

    def test_goes_on_after_a_restart(self, shop: Path, serve: Callable, drop: Callable[..., None]) -> None:
        drop(shop, "apple_x2")
        serve(shop).stop()
        drop(shop, "birch_x2", COLOURS[1])
        service = serve(shop)
        assert folders(shop) == []
        (shop / "state/gang-now").touch()
        serve(shop, service).stop()
        assert ticket(shop, "birch")["run_orders"] == ["apple", "birch"]
        assert not (shop / "state/gang-now").exists()

    def test_bad_art_is_held_at_once(self, shop: Path, serve: Callable, draw_card: Draw) -> None:
        for side in ("front", "back"):
            draw_card(shop / f"inbox/apple_{side}.png", (50, 34), word=side)
        serve(shop).stop()
        assert (shop / "held/apple/why.txt").exists()


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


class TestAnOrderThatCannotBeMade:
    def test_does_not_stop_the_run(self, shop: Path, once: Once, drop: Callable[..., None], draw_card: Draw) -> None:
        for number, name in enumerate(NAMES[:3]):
            drop(shop, f"{name}_x2", COLOURS[number])
        draw_card(shop / "inbox/birch_x2_back.png", (50, 34))
        once(shop)
        assert ticket(shop, "apple")["run_orders"] == ["apple", "cedar"]
        assert (shop / "held/birch/why.txt").exists()

    def test_any_more_when_the_run_is_made_does_not_either(
        self, shop: Path, serve: Callable, drop: Callable[..., None], draw_card: Draw
    ) -> None:
        """It was good when it came, and somebody has changed it in the archive since."""
        for number, name in enumerate(NAMES[:3]):
            drop(shop, f"{name}_x2", COLOURS[number])
        service = serve(shop)
        (art,) = (shop / "archive").glob(".taking-*/birch_x2_back.png")
        art.write_bytes(b"x" * art.stat().st_size)
        (shop / "state/gang-now").touch()
        serve(shop, service).stop()
        assert ticket(shop, "apple")["run_orders"] == ["apple", "cedar"]
        assert "birch" in log(shop)


class TestTrouble:
    def drop_two(self, shop: Path, drop: Callable[..., None]) -> None:
        for number, name in enumerate(NAMES[:2]):
            drop(shop, f"{name}_x2", COLOURS[number])

    def test_a_run_that_breaks_its_worker_is_made_singly(
        self, shop: Path, once: Once, drop: Callable[..., None], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        self.drop_two(shop, drop)
        monkeypatch.setattr("watcher.work.make_gang_run.make_run", _breaks)
        once(shop)
        assert folders(shop) == ["apple", "birch"]

    def test_a_full_disk_puts_the_delivery_off(
        self, shop: Path, once: Once, drop: Callable[..., None], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        self.drop_two(shop, drop)
        with monkeypatch.context() as full:
            full.setattr("watcher.service.life.gang_delivery.deliver_run", _finds_no_room)
            assert once(shop).making.paused
        assert [path.name for path in (shop / "archive").glob(".making-*")] == [".making-run-1"]
        once(shop)
        assert ticket(shop, "apple")["run_orders"] == ["apple", "birch"]
        assert not list((shop / "archive").glob(".*"))

    def test_a_name_taken_meanwhile_makes_the_run_again_under_another(
        self, shop: Path, once: Once, drop: Callable[..., None], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        self.drop_two(shop, drop)
        (shop / "outbox").mkdir(exist_ok=True)
        monkeypatch.setattr(Product, "finish", _and_takes_its_name(shop / "outbox"))
        once(shop)
        assert ticket(shop, "apple")["run"].endswith("-2")

    def test_the_next_run_of_a_day_has_another_name_though_the_first_was_collected(
        self, made: Path, once: Once, drop: Callable[..., None]
    ) -> None:
        (run,) = folders(made)
        shutil.rmtree(made / "outbox" / run)
        for name in ("fern", "gorse"):
            drop(made, f"{name}_x2")
        once(made)
        assert folders(made) == [f"{run}-2"]


def _breaks(_task: object) -> None:
    raise MemoryError


def _finds_no_room(*_: object, **__: object) -> None:
    raise OSError(errno.ENOSPC, "No space left on device", "outbox")


def _and_takes_its_name(outbox: Path) -> Callable[[Product, str, bytes], None]:
    """Finish a product, and the first time make a folder that has the run's name."""
    right, taken = Product.finish, list[Path]()

    def finish(product: Product, name: str, content: bytes) -> None:
        right(product, name, content)
        if not taken:
            (building,) = (outbox.parent / "archive").glob(".making-run-*")
            (sheets,) = building.glob("*_sheets.pdf")
            taken.append(outbox / sheets.name.removesuffix("_sheets.pdf"))
            taken[0].mkdir()

    return finish


class TestTwoLayoutsThroughAHandFedPrinter:
    """Two layouts, a sheet of each: which page of the backs is whose, by the small print that both sides carry."""

    @pytest.fixture
    def run(self, shop: Path, once: Once, drop: Callable[..., None]) -> Callable[[str, str], Path]:
        def make(of_sheet: str, of_printer: str) -> Path:
            text = SETTINGS.replace("gang = true", f"gang = true\ngang_layouts = 2\n{of_sheet}")
            (shop / "settings.toml").write_text(f'{text}duplex = "manual"\n{of_printer}')
            for name, colour, cards in zip(NAMES, COLOURS, (11, 5), strict=False):
                drop(shop, f"{name}_x{cards}", colour)
            once(shop)
            (folder,) = (path for path in (shop / "outbox").iterdir() if path.is_dir())
            return folder

        return make

    def numbers(self, file: Path) -> list[str]:
        with pypdfium2.PdfDocument(file) as document:
            said = [page.get_textpage().get_text_range() for page in document]
        return [re.search(r"layout \d of 2(, sheets? \d+( to \d+)? of \d+)?", text)[0] for text in said]

    def test_has_its_backs_in_the_order_of_the_stack(self, run: Callable[[str, str], Path]) -> None:
        folder = run('copies = "pages"', 'backs_order = "n-to-1"\n')
        fronts, backs = (self.numbers(folder / f"{folder.name}_{side}.pdf") for side in ("1-fronts", "2-backs"))
        assert len(set(fronts)) == 2
        assert backs == fronts[::-1]

    def test_has_a_file_for_each_layout_where_copies_are_asked_for(self, run: Callable[[str, str], Path]) -> None:
        folder = run("", "")
        sides = ("1-fronts", "2-backs")
        for layout in (1, 2):
            said = [self.numbers(folder / f"{folder.name}_layout-{layout}_{side}.pdf") for side in sides]
            assert said == [[f"layout {layout} of 2"]] * 2

    def test_says_that_the_order_is_not_known_and_in_its_ticket_how_backs_lie(
        self, shop: Path, run: Callable[[str, str], Path]
    ) -> None:
        run('copies = "pages"', "")
        told = ticket(shop, "apple")
        assert told["backs_order"] == "1-to-n"
        assert "backs-order-unknown" in [finding["code"] for finding in told["findings"]]
