"""An archived order made again by a dropped job ticket."""

import os
import subprocess
import sys
import tomllib
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.stories.a_repeat import ask, product
from tests.stories.shop_files import change, ticket, why
from watcher.commands.app import main
from watcher.records.timestamps import say_stamp_day
from watcher.service.lock import take_lock
from watcher.service.loop import Service

Once = Callable[[Path], Service]
Drop = Callable[..., None]


@pytest.mark.usefixtures("all_shown")
def test_gives_the_same_bytes_after_a_restart(made: Path, once: Once) -> None:
    ask(made, 'repeat = "lantern"')
    assert once(made).making.made == 1
    assert product(made, "lantern-2") == product(made, "lantern")


def test_is_an_order_of_its_own_that_names_the_first(made: Path, once: Once) -> None:
    ask(made, 'repeat = "lantern"')
    once(made)
    again, first = ticket(made, "lantern-2"), ticket(made, "lantern")
    assert (again["order"], again["repeat_of"], again["printed_as"]) == ("lantern-2", "lantern", "lantern")
    unlike = {key for key in again | first if again.get(key) != first.get(key)}
    assert unlike <= {"order", "made_at", "repeat_of", "print"}  # files are named after the order
    assert ticket(made, "lantern-2", "archive") == again


def test_of_a_repeat_is_linked_to_the_first(made: Path, once: Once) -> None:
    for name in ("lantern", "lantern-2"):
        ask(made, f'repeat = "{name}"')
        once(made)
    assert ticket(made, "lantern-3")["repeat_of"] == "lantern"
    assert product(made, "lantern-3") == product(made, "lantern")


def test_is_made_although_the_sheets_still_lie_there_and_the_log_says_so(made: Path, once: Once) -> None:
    ask(made, 'repeat = "LANTERN"')
    once(made)
    assert "lantern-2: made: 50 cards = 25 sheets, plus 1 spare; lantern again" in (made / "outbox/log.txt").read_text()


def test_takes_another_quantity_of_the_ticket(made: Path, once: Once) -> None:
    ask(made, 'repeat = "lantern"\nquantity = 40')
    once(made)
    again = ticket(made, "lantern-2")
    assert (again["quantity"], again["sheets"], again["overs_asked"]) == (40, 21, "1 sheet")


def test_makes_so_many_sheets_for_spoiled_ones_and_no_overs(made: Path, once: Once) -> None:
    ask(made, 'repeat = "lantern"\nsheets_only = 2')
    once(made)
    again = ticket(made, "lantern-2")
    assert (again["sheets"], again["quantity"], again["overs"], again["sheets_only"]) == (2, 4, 0, 2)


def test_keeps_the_art_in_its_own_archive_folder_too(made: Path, once: Once, names_in: Callable) -> None:
    ask(made, 'repeat = "lantern"')
    once(made)
    assert [name for name in names_in(made) if name.startswith("archive/lantern-2/")] == [
        "archive/lantern-2/again.toml",
        "archive/lantern-2/lantern-2_ticket.toml",
        "archive/lantern-2/lantern_x50_back.png",
        "archive/lantern-2/lantern_x50_front.png",
    ]
    assert [name for name in names_in(made) if name.startswith("inbox")] == []


def test_of_an_unknown_name_is_held_with_the_nearest(made: Path, once: Once) -> None:
    ask(made, 'repeat = "lantren"')
    assert once(made).making.held == 1
    assert "no order lantren in the archive. The nearest names there: lantern." in why(made, "lantren")
    assert sorted(file.name for file in (made / "held/lantren").iterdir()) == ["again.toml", "held.toml", "why.txt"]


def test_of_a_name_with_several_arts_is_held_and_each_can_be_asked_for(made: Path, once: Once, drop_pair: Drop) -> None:
    drop_pair(made / "inbox", "lantern_x9", colour="#ffeecc")
    once(made)
    ask(made, 'repeat = "lantern"')
    once(made)
    today = say_stamp_day(ticket(made, "lantern")["made_at"])
    assert (
        f"Different art was made under the name lantern: lantern-1 ({today}, 50 cards, invitation), lantern-2"
        f" ({today}, 9 cards, invitation). Ask for one of these."
    ) in why(made, "lantern")
    for name in ("lantern-1", "lantern-2"):
        ask(made, f'repeat = "{name}"')
        once(made)
    assert [ticket(made, f"lantern-{n}")["repeat_of"] for n in (3, 4)] == ["lantern", "lantern-2"]


def test_beside_art_of_its_name_is_held(made: Path, once: Once, drop_pair: Drop) -> None:
    drop_pair(made / "inbox", "comet")
    ask(made, 'repeat = "lantern"', "comet.toml")
    once(made)
    assert "there is art beside it: comet_back.png" in why(made, "comet")


def test_dropped_together_with_the_art_it_repeats_waits_for_that(
    print_folder: Path, once: Once, drop_pair: Drop
) -> None:
    drop_pair(print_folder / "inbox")
    ask(print_folder, 'repeat = "lantern"\ndue = 2026-01-01')
    assert once(print_folder).making.made == 2
    assert ticket(print_folder, "lantern-2")["repeat_of"] == "lantern"


class TestArtInTheArchive:
    def test_that_is_gone_or_altered_is_told_file_by_file(self, made: Path, once: Once, names_in: Callable) -> None:
        (made / "archive/lantern/lantern_x50_front.png").unlink()
        with (made / "archive/lantern/lantern_x50_back.png").open("ab") as file:
            file.write(b"x")
        ask(made, 'repeat = "lantern"')
        once(made)
        said = why(made, "lantern")
        assert "lantern_x50_front.png is missing in archive/lantern" in said
        assert "lantern_x50_back.png in archive/lantern was altered since" in said
        assert [name for name in names_in(made) if "-2" in name] == []

    def test_that_came_in_a_zip_is_taken_out_of_it_again(
        self, print_folder: Path, once: Once, draw_card: Callable[..., Path], tmp_path: Path
    ) -> None:
        with zipfile.ZipFile(print_folder / "inbox/comet_x6.zip", "w") as archive:
            for member, word in (("1.png", "F"), ("2.png", "B")):
                archive.write(draw_card(tmp_path / "art" / member, word=word), member)
        once(print_folder)
        ask(print_folder, 'repeat = "comet"')
        once(print_folder)
        assert product(print_folder, "comet-2") == product(print_folder, "comet")

    def test_that_all_orders_of_a_card_share_is_that_of_the_first_time(
        self, print_folder: Path, once: Once, draw_card: Callable[..., Path]
    ) -> None:
        change(print_folder, "[cards.invitation]", '[cards.invitation]\ncommon_back = "our-back.png"')
        draw_card(print_folder / "our-back.png", word="B")
        draw_card(print_folder / "inbox/lantern_front.png")
        once(print_folder)
        draw_card(print_folder / "our-back.png", word="C")
        ask(print_folder, 'repeat = "lantern"')
        once(print_folder)
        again = ticket(print_folder, "lantern-2")
        assert again["art"] == ticket(print_folder, "lantern")["art"]
        assert "The back that all invitation cards share has changed" in again["findings"][0]["message"]


class TestAnAcceptedOrder:
    def accepted(self, folder: Path, once: Once, drop_pair: Drop) -> None:
        drop_pair(folder / "inbox", size=(150, 207))
        once(folder)
        (folder / "held/lantern").rename(folder / "held/lantern ok")
        once(folder)

    def test_needs_no_second_yes(self, print_folder: Path, once: Once, drop_pair: Drop) -> None:
        self.accepted(print_folder, once, drop_pair)
        ask(print_folder, 'repeat = "lantern"')
        once(print_folder)
        assert product(print_folder, "lantern-2") == product(print_folder, "lantern")

    def test_needs_one_when_the_settings_have_changed(self, print_folder: Path, once: Once, drop_pair: Drop) -> None:
        self.accepted(print_folder, once, drop_pair)
        change(print_folder, "hold_ppi = 40", "hold_ppi = 50")
        ask(print_folder, 'repeat = "lantern"')
        assert once(print_folder).making.held == 1
        (print_folder / "held/lantern").rename(print_folder / "held/lantern ok")
        assert once(print_folder).making.made == 1
        assert ticket(print_folder, "lantern-2")["repeat_of"] == "lantern"


def test_a_journal_that_is_made_again_knows_a_repeat_as_the_same_art(made: Path, once: Once, drop_pair: Drop) -> None:
    """The folders alone tell what has been made."""
    ask(made, 'repeat = "lantern"')
    once(made)
    for file in (made / "outbox/lantern").iterdir():
        file.unlink()
    for file in (made / "state").glob("journal.sqlite*"):
        file.unlink()
    drop_pair(made / "inbox", "lantern_x50")
    assert once(made).making.made == 0
    assert "its sheets still lie in the outbox (lantern-2)" in (made / "outbox/log.txt").read_text()


@pytest.mark.usefixtures("all_shown")
def test_in_another_process_folder_locale_zone_and_hash_seed_makes_the_same_bytes(made: Path, tmp_path: Path) -> None:
    """Kiritimati is 14 hours ahead of UTC (IANA tz database): there it is another day than the first time, mostly."""
    ask(made, 'repeat = "lantern"')
    elsewhere = {"LC_ALL": "C", "LANG": "tr_TR.UTF-8", "TZ": "Pacific/Kiritimati", "PYTHONHASHSEED": "20261125"}
    here = str(Path(__file__).parents[2])
    subprocess.run(
        [sys.executable, "-m", "watcher", "once", "--settings", str(made / "settings.toml")],
        check=True,
        cwd=tmp_path,
        env={**os.environ, **elsewhere, "PYTHONPATH": here},
        stdout=subprocess.DEVNULL,
    )
    assert product(made, "lantern-2") == product(made, "lantern")


class TestTheCommand:
    def call(self, folder: Path, monkeypatch: pytest.MonkeyPatch, *words: str) -> int | str | None:
        monkeypatch.setattr("sys.argv", ["print-folder", "repeat", *words, "--settings", str(folder / "settings.toml")])
        with pytest.raises(SystemExit) as ended:
            main()
        return ended.value.code

    def test_makes_it_where_no_service_runs(self, made: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        assert self.call(made, monkeypatch, "lantern", "--quantity", "40", "--as-before") == 0
        again = ticket(made, "lantern-2")
        assert (again["quantity"], again["as_before"]) == (40, True)

    def test_only_drops_a_ticket_where_one_runs(
        self, made: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        with take_lock(made / "state"):
            assert self.call(made, monkeypatch, "Lantern", "--sheets", "2") == 0
        (dropped,) = (made / "inbox").iterdir()
        assert tomllib.loads(dropped.read_text()) == {"repeat": "Lantern", "sheets_only": 2}
        assert "lantern is asked for again; the program that is running makes it." in capsys.readouterr().out

    @pytest.mark.parametrize(
        ("words", "said"),
        [
            (["lantren"], "There is no order lantren in the archive. The nearest names there: lantern."),
            (["../lantern"], "and no path"),
            (["lantern", "--sheets", "2", "--quantity", "3"], "sheets_only and quantity exclude each other"),
            (["lantern", "--sheets", "0"], '--sheets is "0"; write a whole number'),
        ],
    )
    def test_refuses_at_once_what_would_be_held(
        self,
        made: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
        words: list[str],
        said: str,
    ) -> None:
        assert self.call(made, monkeypatch, *words) == 2
        assert said in capsys.readouterr().err
        assert list((made / "inbox").iterdir()) == []


# -- earlier sheets ----------------------------------------------------------------------------------------------------
def test_does_not_make_sheets_of_other_art_outdated(made: Path, once: Once, drop_pair: Drop) -> None:
    """A repeat of the first art brings nothing new: the sheets of the second are as good as before."""
    drop_pair(made / "inbox", "lantern_x50", colour="#88aa88")
    once(made)
    assert [path.parent.name for path in made.glob("outbox/*/NEWER*")] == ["lantern"]
    ask(made, 'repeat = "lantern-1"')
    assert once(made).making.made == 1
    assert [path.parent.name for path in made.glob("outbox/*/NEWER*")] == ["lantern"]


def test_art_of_another_card_of_the_name_makes_no_sheets_outdated(made: Path, once: Once, draw_card) -> None:
    draw_card(made / "inbox/tag/lantern.png", size=(258, 173))
    assert once(made).making.made == 1
    assert not list(made.glob("outbox/*/NEWER*"))
