"""The forms in which an order may come: ZIP, PDF, a back common to all, a job ticket, and what is no art."""

import zipfile
from collections.abc import Callable
from pathlib import Path

import pypdf

from tests.stories.shop_files import change, ticket
from watcher.service.loop import Service

Once = Callable[[Path], Service]
Drop = Callable[..., None]
Draw = Callable[..., Path]


class TestAZip:
    def pack(self, folder: Path, draw: Draw, name: str, members: dict[str, str]) -> None:
        made = folder.parent / "to-pack"
        with zipfile.ZipFile(folder / "inbox" / name, "w") as archive:
            for member, word in members.items():
                archive.write(draw(made / member, word=word), member)

    def test_of_numbered_pages_takes_its_own_name(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        self.pack(print_folder, draw_card, "meteor_x6.zip", {"1.png": "F", "2.png": "B"})
        once(print_folder)
        made = ticket(print_folder, "meteor")
        assert (made["quantity"], [art["side"] for art in made["art"]]) == (6, ["front", "back"])
        assert (print_folder / "archive/meteor/meteor_x6.zip").exists()

    def test_of_several_orders_makes_each_and_stays_whole_in_each_archive(
        self, print_folder: Path, once: Once, draw_card: Draw
    ) -> None:
        names = {f"{name}_{side}.png": side[0] for name in ("comet", "nova") for side in ("front", "back")}
        self.pack(print_folder, draw_card, "all.zip", names)
        whole = (print_folder / "inbox/all.zip").read_bytes()
        assert once(print_folder).making.made == 2
        for name in ("comet", "nova"):
            assert (print_folder / "archive" / name / "all.zip").read_bytes() == whole

    def test_with_a_half_makes_the_rest_and_the_half_finds_its_other_side_later(
        self, print_folder: Path, once: Once, draw_card: Draw
    ) -> None:
        self.pack(
            print_folder, draw_card, "all.zip", {"comet_front.png": "F", "comet_back.png": "B", "nova_front.png": "N"}
        )
        service = once(print_folder)
        assert (service.making.made, service.making.held) == (1, 1)
        assert "holds no back for nova" in (print_folder / "held/nova/why.txt").read_text()
        draw_card(print_folder / "inbox/nova_back.png", word="Z")
        assert once(print_folder).making.made == 1
        assert (print_folder / "outbox/nova/nova_sheets.pdf").exists()

    def test_of_fronts_and_one_of_backs_find_each_other(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        self.pack(print_folder, draw_card, "fronts.zip", {"comet_front.png": "F", "nova_front.png": "N"})
        self.pack(print_folder, draw_card, "backs.zip", {"comet_back.png": "B", "nova_back.png": "Z"})
        assert once(print_folder).making.made == 2

    def test_that_is_damaged_is_held(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        self.pack(print_folder, draw_card, "meteor.zip", {"1.png": "F", "2.png": "B"})
        file = print_folder / "inbox/meteor.zip"
        data = bytearray(file.read_bytes())
        data[200:260] = bytes(60)
        file.write_bytes(data)
        assert once(print_folder).making.held == 1
        assert "meteor.zip" in (print_folder / "held/meteor/why.txt").read_text()


class TestAPdf:
    def page(self, path: Path, pages: int) -> None:
        writer = pypdf.PdfWriter()
        for _ in range(pages):
            writer.add_blank_page(width=5.25 * 72, height=7.25 * 72)
        writer.write(path)

    def test_of_two_pages_is_front_and_back(self, print_folder: Path, once: Once) -> None:
        self.page(print_folder / "inbox/orbit.pdf", 2)
        once(print_folder)
        assert [art["page"] for art in ticket(print_folder, "orbit")["art"]] == [1, 2]

    def test_of_one_page_is_a_front_and_waits_for_its_back(self, print_folder: Path, once: Once) -> None:
        self.page(print_folder / "inbox/orbit.pdf", 1)
        assert once(print_folder).looked.waiting == ("orbit: waits for its back",)

    def test_of_three_pages_is_held(self, print_folder: Path, once: Once) -> None:
        self.page(print_folder / "inbox/orbit.pdf", 3)
        once(print_folder)
        assert "has 3 pages" in (print_folder / "held/orbit/why.txt").read_text()


class TestACommonBack:
    def test_needs_only_the_front_and_is_kept_with_the_order(
        self, print_folder: Path, once: Once, draw_card: Draw
    ) -> None:
        draw_card(print_folder / "brand.png", word="brand")
        change(print_folder, 'overs = "1 sheet"', 'overs = "1 sheet"\ncommon_back = "brand.png"')
        draw_card(print_folder / "inbox/lantern_front.png")
        once(print_folder)
        made = ticket(print_folder, "lantern")
        assert [art["side"] for art in made["art"]] == ["front", "back"]
        kept = print_folder / "archive/lantern" / made["art"][1]["file"]
        assert kept.read_bytes() == (print_folder / "brand.png").read_bytes()

    def test_that_is_not_there_holds_the_order(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        change(print_folder, 'overs = "1 sheet"', 'overs = "1 sheet"\ncommon_back = "brand.png"')
        draw_card(print_folder / "inbox/lantern_front.png")
        once(print_folder)
        assert "common_back" in (print_folder / "held/lantern/why.txt").read_text()


class TestAJobTicket:
    def test_gives_quantity_card_sheet_and_overs(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        draw_card(print_folder / "inbox/night.png", (258, 173))
        (print_folder / "inbox/night.toml").write_text(
            'quantity = 30\ncard = "tag"\nsheet = "letter"\novers = "10 %"\nnote = "by the door"\n'
        )
        once(print_folder)
        made = ticket(print_folder, "night")
        assert (made["quantity"], made["card"], made["sheet"]["name"], made["overs"]) == (30, "tag", "letter", 3)
        assert (made["note"], (print_folder / "archive/night/night.toml").exists()) == ("by the door", True)

    def test_that_says_another_quantity_than_the_name_holds_the_order(
        self, print_folder: Path, once: Once, drop_pair: Drop
    ) -> None:
        drop_pair(print_folder / "inbox", "lantern_x50")
        (print_folder / "inbox/lantern.toml").write_text("quantity = 60\n")
        once(print_folder)
        assert "quantities differ" in (print_folder / "held/lantern/why.txt").read_text()

    def test_alone_waits_for_its_art(self, print_folder: Path, once: Once) -> None:
        (print_folder / "inbox/lantern.toml").write_text("quantity = 60\n")
        assert once(print_folder).looked.waiting == ("lantern: waits for the art for its job ticket",)

    def test_after_its_order_was_made_is_held_naming_what_was_made(
        self, print_folder: Path, once: Once, drop_pair: Drop
    ) -> None:
        drop_pair(print_folder / "inbox", "lantern_x50")
        once(print_folder)
        (print_folder / "inbox/lantern.toml").write_text("quantity = 60\n")
        once(print_folder)
        why = (print_folder / "held/lantern/why.txt").read_text()
        assert "came after its order was made" in why
        assert "50 cards" in why

    def test_that_came_late_is_used_when_the_art_comes_again(
        self, print_folder: Path, once: Once, drop_pair: Drop
    ) -> None:
        drop_pair(print_folder / "inbox")
        once(print_folder)
        (print_folder / "inbox/lantern.toml").write_text("quantity = 60\n")
        once(print_folder)
        drop_pair(print_folder / "inbox")
        once(print_folder)
        assert ticket(print_folder, "lantern-2")["quantity"] == 60
        assert list((print_folder / "held").iterdir()) == []


class TestWhatIsNotArt:
    def test_another_kind_of_file_is_held_with_the_kinds_that_are_taken(self, print_folder: Path, once: Once) -> None:
        (print_folder / "inbox/menu.docx").write_bytes(b"words")
        once(print_folder)
        why = (print_folder / "held/menu/why.txt").read_text()
        assert "PNG, JPEG, TIFF, WebP, PDF or ZIP" in " ".join(why.split())

    def test_an_incomplete_file_is_left_where_it_is(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        file = draw_card(print_folder / "inbox/lantern_front.png")
        file.write_bytes(file.read_bytes()[:-20])
        assert once(print_folder).looked.waiting
        assert file.exists()

    def test_an_incomplete_file_is_held_after_give_up(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        change(print_folder, 'quiet = "0 s"', 'quiet = "0 s"\ngive_up = "0 s"')
        file = draw_card(print_folder / "inbox/lantern_front.png")
        file.write_bytes(file.read_bytes()[:-20])
        once(print_folder)
        assert "is not complete" in (print_folder / "held/lantern/why.txt").read_text()

    def test_temporary_names_are_left_alone(self, print_folder: Path, once: Once) -> None:
        for name in (".lantern_front.png", "lantern_front.png.crdownload", "lantern_front.png.part"):
            (print_folder / "inbox" / name).write_bytes(b"half")
        service = once(print_folder)
        assert (service.looked.waiting, service.making.held) == ((), 0)
        assert len(list((print_folder / "inbox").iterdir())) == 3

    def test_a_side_that_no_name_tells_is_held_and_not_guessed(
        self, print_folder: Path, once: Once, draw_card: Draw
    ) -> None:
        draw_card(print_folder / "inbox/lantern.png")
        once(print_folder)
        assert "lantern_front.png or lantern_back.png" in (print_folder / "held/lantern/why.txt").read_text()

    def test_one_bad_order_does_not_keep_the_others(self, print_folder: Path, once: Once, drop_pair: Drop) -> None:
        drop_pair(print_folder / "inbox", "good")
        drop_pair(print_folder / "inbox", "bad", size=(100, 138))
        service = once(print_folder)
        assert (service.making.made, service.making.held) == (1, 1)


class TestCopies:
    def test_of_the_same_bytes_are_nothing_new(self, print_folder: Path, once: Once, drop_pair: Drop) -> None:
        drop_pair(print_folder / "inbox")
        front = print_folder / "inbox/lantern_front.png"
        front.with_name("lantern_front (1).png").write_bytes(front.read_bytes())
        assert once(print_folder).making.made == 1
        assert list((print_folder / "inbox").iterdir()) == []

    def test_of_other_bytes_are_held(self, print_folder: Path, once: Once, drop_pair: Drop, draw_card: Draw) -> None:
        drop_pair(print_folder / "inbox")
        draw_card(print_folder / "inbox/lantern_front (1).png", colour="red")
        once(print_folder)
        assert "two different files for the front" in (print_folder / "held/lantern/why.txt").read_text()
