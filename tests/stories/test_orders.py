"""The whole service on a print folder, one behaviour a test. Rules: README."""

import unicodedata
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from tests.stories.shop_files import change, ticket
from watcher.service.loop import Service

Once = Callable[[Path], Service]
Drop = Callable[..., None]
Draw = Callable[..., Path]
Names = Callable[[Path], list[str]]


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

    @pytest.mark.usefixtures("all_shown")
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
        change(print_folder, 'quiet = "0 s"', 'quiet = "0 s"\nwait_for_other_side = "0 s"')
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
        change(print_folder, 'quiet = "0 s"', 'quiet = "0 s"\nwait_for_other_side = "0 s"')
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
        change(print_folder, "hold_ppi = 40", "hold_ppi = 20")
        (print_folder / "held/lantern").rename(print_folder / "inbox/lantern")
        assert once(print_folder).making.made == 1
        assert list((print_folder / "inbox").iterdir()) == []

    def test_put_into_the_folder_of_their_card_are_tried_again_too(
        self, print_folder: Path, once: Once, draw_card: Draw
    ) -> None:
        draw_card(print_folder / "inbox/tag/night.png", (91, 61))
        once(print_folder)
        change(print_folder, "hold_ppi = 40", "hold_ppi = 20")
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


class TestSheets:
    def test_of_a_hand_fed_printer_come_as_two_files_of_one_page(
        self, print_folder: Path, once: Once, drop_pair: Drop
    ) -> None:
        """25 cards, 2-up: 13 sheets of each file. Common practice, no source."""
        change(print_folder, 'flip = "long-edge"', 'flip = "long-edge"\nduplex = "manual"')
        change(print_folder, 'overs = "1 sheet"', "overs = 0")
        drop_pair(print_folder / "inbox", "lantern_x25")
        once(print_folder)
        files = sorted(path.name for path in (print_folder / "outbox/lantern").glob("*s.pdf"))
        assert files == ["lantern_1-fronts.pdf", "lantern_2-backs.pdf", "lantern_instructions.pdf"]
        assert ticket(print_folder, "lantern")["sheets"] == 13
        for name in files[:2]:
            reader = pypdf.PdfReader(print_folder / "outbox/lantern" / name)
            assert len(reader.pages) == 1
            assert reader.trailer["/Root"]["/ViewerPreferences"]["/Duplex"] == "/Simplex"

    @pytest.mark.usefixtures("all_shown")
    def test_show_the_preview_of_front_and_back(self, print_folder: Path, once: Once, drop_pair: Drop) -> None:
        drop_pair(print_folder / "inbox")
        once(print_folder)
        with Image.open(print_folder / "outbox/lantern/lantern_preview.png") as preview:
            assert preview.width > preview.height

    def test_too_small_for_the_card_hold_the_order_with_both_sizes(
        self, print_folder: Path, once: Once, drop_pair: Drop
    ) -> None:
        change(print_folder, 'size = "letter"', 'size = "4 x 6 in"')
        drop_pair(print_folder / "inbox")
        once(print_folder)
        assert "mm" in (print_folder / "held/lantern/why.txt").read_text()
