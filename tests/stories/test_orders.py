"""The whole service on a print folder, one behaviour a test. Rules: design sections 4, 5 and 9."""

import tomllib
import unicodedata
import zipfile
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from watcher.service.loop import Service

Once = Callable[[Path], Service]
Drop = Callable[..., None]
Draw = Callable[..., Path]
Names = Callable[[Path], list[str]]


def change_settings(folder: Path, old: str, new: str) -> None:
    file = folder / "settings.toml"
    text = file.read_text()
    assert old in text
    file.write_text(text.replace(old, new))


def ticket(folder: Path, order: str) -> dict:
    return tomllib.loads((folder / "outbox" / order / f"{order}_ticket.toml").read_text())


def collect(folder: Path, order: str) -> None:
    """The person takes the sheets away."""
    for file in (folder / "outbox" / order).iterdir():
        file.unlink()
    (folder / "outbox" / order).rmdir()


class TestAPair:
    def test_becomes_a_folder_in_the_outbox_and_its_art_goes_to_the_archive(
        self, print_folder: Path, once: Once, drop_pair: Drop, names_in: Names
    ) -> None:
        drop_pair(print_folder / "inbox", "lantern_x50")
        service = once(print_folder)
        assert names_in(print_folder) == [
            "archive/lantern/lantern_ticket.toml",
            "archive/lantern/lantern_x50_back.png",
            "archive/lantern/lantern_x50_front.png",
            "outbox/lantern/lantern_card.png",
            "outbox/lantern/lantern_instructions.pdf",
            "outbox/lantern/lantern_preview.png",
            "outbox/lantern/lantern_sheets.pdf",
            "outbox/lantern/lantern_ticket.toml",
            "outbox/log.txt",
            "outbox/status.html",
            "settings.toml",
        ]
        assert (service.making.made, service.making.held) == (1, 0)

    def test_says_quantity_sheets_and_spare_in_the_log(self, print_folder: Path, once: Once, drop_pair: Drop) -> None:
        drop_pair(print_folder / "inbox", "lantern_x50")
        once(print_folder)
        assert "lantern: made: 50 cards = 25 sheets, plus 1 spare" in (print_folder / "outbox/log.txt").read_text()

    def test_in_a_cards_folder_is_made_for_that_card(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        draw_card(print_folder / "inbox/tag/night.png", (258, 173))
        once(print_folder)
        assert ticket(print_folder, "night")["card"] == "tag"

    def test_finds_itself_across_unicode_forms_and_case(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        draw_card(print_folder / "inbox" / (unicodedata.normalize("NFD", "Café") + "_FRONT.png"))
        draw_card(print_folder / "inbox" / (unicodedata.normalize("NFC", "café") + "_back.png"), word="B")
        assert once(print_folder).making.made == 1

    def test_with_other_side_words_of_the_settings(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        file = print_folder / "settings.toml"
        file.write_text('[names]\nfront = ["vorn"]\nback = ["hinten"]\n' + file.read_text())
        draw_card(print_folder / "inbox/nacht_vorn.png")
        draw_card(print_folder / "inbox/nacht_hinten.png", word="B")
        assert once(print_folder).making.made == 1

    def test_same_settings_and_art_make_the_same_bytes_in_another_print_folder(
        self, print_folder: Path, tmp_path: Path, once: Once, drop_pair: Drop
    ) -> None:
        other = tmp_path / "elsewhere"
        (other / "inbox").mkdir(parents=True)
        (other / "settings.toml").write_bytes((print_folder / "settings.toml").read_bytes())
        for folder in (print_folder, other):
            drop_pair(folder / "inbox")
            once(folder)
        for name in ("lantern_sheets.pdf", "lantern_preview.png", "lantern_instructions.pdf"):
            made = [(folder / "outbox/lantern" / name).read_bytes() for folder in (print_folder, other)]
            assert made[0] == made[1], name


class TestALoneHalf:
    def test_waits_in_the_inbox(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        draw_card(print_folder / "inbox/lantern_front.png")
        service = once(print_folder)
        assert service.looked.waiting == ("lantern: waits for its back",)
        assert (print_folder / "inbox/lantern_front.png").exists()

    def test_that_waited_too_long_is_held_and_its_other_side_finds_it(
        self, print_folder: Path, once: Once, draw_card: Draw
    ) -> None:
        change_settings(print_folder, 'quiet = "0 s"', 'quiet = "0 s"\nwait_for_other_side = "0 s"')
        draw_card(print_folder / "inbox/lantern_front.png")
        assert once(print_folder).making.held == 1
        assert "waited" in (print_folder / "held/lantern/why.txt").read_text()
        draw_card(print_folder / "inbox/lantern_back.png", word="B")
        assert once(print_folder).making.made == 1
        assert list((print_folder / "held").iterdir()) == []
        assert (print_folder / "archive/lantern/lantern_front.png").exists()

    def test_that_is_held_is_not_touched_by_the_same_side_coming_again(
        self, print_folder: Path, once: Once, draw_card: Draw
    ) -> None:
        change_settings(print_folder, 'quiet = "0 s"', 'quiet = "0 s"\nwait_for_other_side = "0 s"')
        draw_card(print_folder / "inbox/lantern_front.png")
        once(print_folder)
        draw_card(print_folder / "inbox/lantern_front.png", colour="red")
        once(print_folder)
        assert sorted(path.name for path in (print_folder / "held").iterdir()) == ["lantern", "lantern-2"]


class TestTheSameArtAgain:
    def test_makes_nothing_while_the_sheets_lie_in_the_outbox(
        self, print_folder: Path, once: Once, drop_pair: Drop, names_in: Names
    ) -> None:
        for _ in range(2):
            drop_pair(print_folder / "inbox")
            service = once(print_folder)
        assert service.making.made == 0
        assert not [name for name in names_in(print_folder) if "lantern-2" in name or name.startswith("inbox")]
        assert "the same art again" in (print_folder / "outbox/log.txt").read_text()

    def test_is_made_again_once_the_sheets_have_been_collected_and_gives_the_same_bytes(
        self, print_folder: Path, once: Once, drop_pair: Drop
    ) -> None:
        drop_pair(print_folder / "inbox")
        once(print_folder)
        first = (print_folder / "outbox/lantern/lantern_sheets.pdf").read_bytes()
        collect(print_folder, "lantern")
        drop_pair(print_folder / "inbox")
        once(print_folder)
        assert (print_folder / "outbox/lantern-2/lantern-2_sheets.pdf").read_bytes() == first

    def test_in_another_quantity_is_another_order_without_a_note_of_newer_art(
        self, print_folder: Path, once: Once, drop_pair: Drop
    ) -> None:
        drop_pair(print_folder / "inbox", "lantern_x10")
        once(print_folder)
        drop_pair(print_folder / "inbox", "lantern_x20")
        once(print_folder)
        assert ticket(print_folder, "lantern-2")["quantity"] == 20
        assert not list((print_folder / "outbox/lantern").glob("NEWER*"))

    def test_other_art_under_the_name_leaves_a_note_at_the_earlier_one(
        self, print_folder: Path, once: Once, drop_pair: Drop
    ) -> None:
        drop_pair(print_folder / "inbox")
        once(print_folder)
        drop_pair(print_folder / "inbox", colour="#ffeecc")
        once(print_folder)
        assert (print_folder / "outbox/lantern/NEWER ART IN lantern-2.txt").exists()
        assert (print_folder / "outbox/lantern-2/lantern-2_sheets.pdf").exists()


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
        change_settings(print_folder, 'overs = "1 sheet"', 'overs = "1 sheet"\ncommon_back = "brand.png"')
        draw_card(print_folder / "inbox/lantern_front.png")
        once(print_folder)
        made = ticket(print_folder, "lantern")
        assert [art["side"] for art in made["art"]] == ["front", "back"]
        kept = print_folder / "archive/lantern" / made["art"][1]["file"]
        assert kept.read_bytes() == (print_folder / "brand.png").read_bytes()

    def test_that_is_not_there_holds_the_order(self, print_folder: Path, once: Once, draw_card: Draw) -> None:
        change_settings(print_folder, 'overs = "1 sheet"', 'overs = "1 sheet"\ncommon_back = "brand.png"')
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


class TestHeldOrders:
    def low(self, folder: Path, drop: Drop) -> None:
        """A pair of 30 ppi, below the 40 at which the settings hold."""
        drop(folder / "inbox", size=(158, 218))

    def test_say_why_with_both_numbers(self, print_folder: Path, once: Once, drop_pair: Drop) -> None:
        self.low(print_folder, drop_pair)
        once(print_folder)
        why = (print_folder / "held/lantern/why.txt").read_text()
        assert "158 x 218 px" in why
        assert "40" in why

    def test_moved_back_into_the_inbox_are_tried_again(self, print_folder: Path, once: Once, drop_pair: Drop) -> None:
        self.low(print_folder, drop_pair)
        once(print_folder)
        change_settings(print_folder, "hold_ppi = 40", "hold_ppi = 20")
        (print_folder / "held/lantern").rename(print_folder / "inbox/lantern")
        assert once(print_folder).making.made == 1
        assert list((print_folder / "inbox").iterdir()) == []

    def test_put_into_the_folder_of_their_card_are_tried_again_too(
        self, print_folder: Path, once: Once, draw_card: Draw
    ) -> None:
        draw_card(print_folder / "inbox/tag/night.png", (91, 61))
        once(print_folder)
        change_settings(print_folder, "hold_ppi = 40", "hold_ppi = 20")
        (print_folder / "held/night").rename(print_folder / "inbox/tag/night")
        assert once(print_folder).making.made == 1
        assert list((print_folder / "inbox/tag").iterdir()) == []

    def test_moved_back_unchanged_are_held_again(self, print_folder: Path, once: Once, drop_pair: Drop) -> None:
        self.low(print_folder, drop_pair)
        once(print_folder)
        (print_folder / "held/lantern").rename(print_folder / "inbox/lantern")
        assert once(print_folder).making.held == 1
        assert sorted(path.name for path in (print_folder / "held/lantern").iterdir()) == [
            "held.toml",
            "lantern_back.png",
            "lantern_front.png",
            "lantern_why.png",
            "why.txt",
        ]

    @pytest.mark.parametrize("place", ["held", "inbox"])
    def test_renamed_to_ok_are_printed_in_spite_of_soft_findings(
        self, print_folder: Path, once: Once, drop_pair: Drop, place: str
    ) -> None:
        self.low(print_folder, drop_pair)
        once(print_folder)
        (print_folder / "held/lantern").rename(print_folder / place / "lantern ok")
        assert once(print_folder).making.made == 1
        assert (print_folder / "outbox/lantern/lantern_sheets.pdf").exists()
        assert list((print_folder / "held").iterdir()) == []

    def test_that_cannot_be_read_stay_held_whatever_is_said(
        self, print_folder: Path, once: Once, drop_pair: Drop
    ) -> None:
        drop_pair(print_folder / "inbox")
        file = print_folder / "inbox/lantern_front.png"
        data = bytearray(file.read_bytes())
        data[80:90] = bytes(10)
        file.write_bytes(data)
        once(print_folder)
        (print_folder / "held/lantern").rename(print_folder / "held/lantern ok")
        assert once(print_folder).making.held == 1
        assert (print_folder / "held/lantern/why.txt").exists()

    def test_that_came_back_in_part_are_waited_for(self, print_folder: Path, once: Once, drop_pair: Drop) -> None:
        self.low(print_folder, drop_pair)
        once(print_folder)
        (print_folder / "held/lantern").rename(print_folder / "inbox/lantern")
        late = print_folder / "inbox/lantern/lantern_back.png"
        late.rename(print_folder / "late.png")
        service = once(print_folder)
        assert (service.making.made, service.making.held) == (0, 0)
        (print_folder / "late.png").rename(late)
        assert once(print_folder).making.held == 1

    def test_may_be_mended_inside_their_folder(
        self, print_folder: Path, once: Once, drop_pair: Drop, draw_card: Draw
    ) -> None:
        self.low(print_folder, drop_pair)
        once(print_folder)
        (print_folder / "held/lantern").rename(print_folder / "inbox/lantern")
        for side in ("front", "back"):
            draw_card(print_folder / f"inbox/lantern/lantern_{side}.png", word=side)
        assert once(print_folder).making.made == 1


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
        change_settings(print_folder, 'quiet = "0 s"', 'quiet = "0 s"\ngive_up = "0 s"')
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


class TestSheets:
    def test_of_a_hand_fed_printer_come_as_two_files_of_one_page(
        self, print_folder: Path, once: Once, drop_pair: Drop
    ) -> None:
        """25 cards, 2-up: 13 sheets of each file. Common practice, no source."""
        change_settings(print_folder, 'flip = "long-edge"', 'flip = "long-edge"\nduplex = "manual"')
        change_settings(print_folder, 'overs = "1 sheet"', "overs = 0")
        drop_pair(print_folder / "inbox", "lantern_x25")
        once(print_folder)
        files = sorted(path.name for path in (print_folder / "outbox/lantern").glob("*s.pdf"))
        assert files == ["lantern_1-fronts.pdf", "lantern_2-backs.pdf", "lantern_instructions.pdf"]
        assert ticket(print_folder, "lantern")["sheets"] == 13
        for name in files[:2]:
            reader = pypdf.PdfReader(print_folder / "outbox/lantern" / name)
            assert len(reader.pages) == 1
            assert reader.trailer["/Root"]["/ViewerPreferences"]["/Duplex"] == "/Simplex"

    def test_show_the_preview_of_front_and_back(self, print_folder: Path, once: Once, drop_pair: Drop) -> None:
        drop_pair(print_folder / "inbox")
        once(print_folder)
        with Image.open(print_folder / "outbox/lantern/lantern_preview.png") as preview:
            assert preview.width > preview.height

    def test_too_small_for_the_card_hold_the_order_with_both_sizes(
        self, print_folder: Path, once: Once, drop_pair: Drop
    ) -> None:
        change_settings(print_folder, 'size = "letter"', 'size = "4 x 6 in"')
        drop_pair(print_folder / "inbox")
        once(print_folder)
        assert "mm" in (print_folder / "held/lantern/why.txt").read_text()
