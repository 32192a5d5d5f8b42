"""An archived order made again after settings, alignment or colour profile have changed."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.stories.a_repeat import ask, product
from tests.stories.shop_files import change, ticket, why
from watcher.layout.lay_out import lay_out
from watcher.service.loop import Service

Once = Callable[[Path], Service]
Drop = Callable[..., None]


class TestSettingsThatHaveChanged:
    def test_are_used_and_told(self, made: Path, once: Once) -> None:
        change(made, 'bleed = "0.125 in"', 'bleed = "3 mm"')
        change(made, 'flip = "long-edge"', 'flip = "short-edge"')
        ask(made, 'repeat = "lantern"')
        once(made)
        again = ticket(made, "lantern-2")
        (told,) = [finding for finding in again["findings"] if finding["code"] == "settings-changed"]
        assert told["level"] == "warn"
        assert "bleed of the card 3.175 mm -> 3 mm" in told["message"]
        assert "edge it is flipped on of the printer long-edge -> short-edge" in told["message"]
        assert (again["card_size"]["bleed_mm"], again["flip"]) == (3.0, "short-edge")

    def test_that_name_another_sheet_move_the_order_there(self, made: Path, once: Once) -> None:
        change(made, 'sheet = "letter"', 'sheet = "a4"')
        ask(made, 'repeat = "lantern"')
        once(made)
        again = ticket(made, "lantern-2")
        assert again["sheet"]["name"] == "a4"
        assert "sheet letter -> a4" in again["findings"][0]["message"]

    def test_are_passed_over_with_as_before(self, made: Path, once: Once) -> None:
        change(made, 'trim = "5 x 7 in"\nbleed = "0.125 in"\nsheet = "letter"', 'trim = "4 x 6 in"\nsheet = "a4"')
        change(made, '[sheets.letter]\nsize = "letter"', '[sheets.letter]\nsize = "legal"')
        change(made, "[printers.office]", '[printers.office]\nduplex = "manual"')
        ask(made, 'repeat = "lantern"\nas_before = true')
        lay_out.cache_clear()  # months later nothing of the first making is remembered
        once(made)
        assert product(made, "lantern-2") == product(made, "lantern")
        assert ticket(made, "lantern-2")["settings_sha256"] == ticket(made, "lantern")["settings_sha256"]
        assert ticket(made, "lantern-2")["as_before"] is True

    def test_without_the_card_are_told_and_as_before_makes_it_all_the_same(self, made: Path, once: Once) -> None:
        change(made, "[cards.invitation]", "[cards.greeting]")
        ask(made, 'repeat = "lantern"')
        once(made)
        assert "The card invitation, for which lantern was made, is no longer in the settings" in why(made, "lantern")
        ask(made, 'repeat = "lantern"\nas_before = true', "b.toml")
        once(made)
        assert product(made, "lantern-2") == product(made, "lantern")

    def test_to_one_side_are_no_guess(self, made: Path, once: Once) -> None:
        change(made, "[cards.invitation]", "[cards.invitation]\nsides = 1")
        ask(made, 'repeat = "lantern"')
        once(made)
        assert "was made on two sides, but the card invitation has one side now" in why(made, "lantern")


class TestTheAlignment:
    SHIFT = '\n[printers.office.align.letter]\nshift = ["0.5 mm", "-0.3 mm"]\n'

    def test_is_that_of_today_and_a_note_says_so(self, made: Path, once: Once) -> None:
        with (made / "settings.toml").open("a") as file:
            file.write(self.SHIFT)
        ask(made, 'repeat = "lantern"')
        once(made)
        again = ticket(made, "lantern-2")
        assert again["settings"]["align"]["shift"] == ["0.5 mm", "-0.3 mm"]
        assert [finding["code"] for finding in again["findings"]][0] == "alignment-changed"

    def test_is_that_of_today_as_before_too(self, made: Path, once: Once) -> None:
        with (made / "settings.toml").open("a") as file:
            file.write(self.SHIFT)
        ask(made, 'repeat = "lantern"\nas_before = true')
        once(made)
        assert ticket(made, "lantern-2")["settings"]["align"]["shift"] == ["0.5 mm", "-0.3 mm"]


class TestTheColourProfileOfThePress:
    @pytest.fixture
    def at_press(self, print_folder: Path, press_icc: bytes) -> Path:
        (print_folder / "press.icc").write_bytes(press_icc)
        change(print_folder, "[printers.office]", '[printers.office]\noutput_profile = "press.icc"')
        return print_folder

    def swap(self, folder: Path, press_icc: bytes) -> None:
        """Another profile of the same name: the last byte of its last table, which stands for a corner of its inks."""
        (folder / "press.icc").write_bytes(press_icc[:-1] + bytes([press_icc[-1] ^ 1]))

    @pytest.mark.parametrize("as_before", ["", "\nas_before = true"])
    def test_that_is_another_of_the_same_name_is_told(
        self, at_press: Path, press_icc: bytes, once: Once, drop_pair: Drop, as_before: str
    ) -> None:
        drop_pair(at_press / "inbox", "lantern_x50")
        once(at_press)
        self.swap(at_press, press_icc)
        ask(at_press, 'repeat = "lantern"' + as_before)
        once(at_press)
        again = ticket(at_press, "lantern-2")
        (told,) = [finding for finding in again["findings"] if finding["code"] == "profile-changed"]
        assert told["level"] == "warn"
        assert "press.icc is not the one with which lantern was made" in told["message"]
        assert again["output_profile_sha256"] != ticket(at_press, "lantern")["output_profile_sha256"]

    def test_that_is_the_same_is_no_news(self, at_press: Path, once: Once, drop_pair: Drop) -> None:
        drop_pair(at_press / "inbox", "lantern_x50")
        once(at_press)
        ask(at_press, 'repeat = "lantern"')
        once(at_press)
        assert product(at_press, "lantern-2") == product(at_press, "lantern")
        first, again = ticket(at_press, "lantern"), ticket(at_press, "lantern-2")
        assert again["findings"] == first["findings"]
        assert again["output_profile_sha256"] == first["output_profile_sha256"]

    def test_that_is_another_calls_for_a_second_yes(
        self, at_press: Path, press_icc: bytes, once: Once, drop_pair: Drop
    ) -> None:
        drop_pair(at_press / "inbox", size=(150, 207))
        once(at_press)
        (at_press / "held/lantern").rename(at_press / "held/lantern ok")
        once(at_press)
        self.swap(at_press, press_icc)
        ask(at_press, 'repeat = "lantern"')
        assert once(at_press).making.held == 1
