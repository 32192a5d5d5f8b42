"""The facts about held, finished and taken orders, and the paper they take."""

import os
import shutil
import time
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest

from tests.orders.an_order import an_order
from tests.status.a_journal import entry, write_entries
from watcher.outbox.hold import hold
from watcher.records.order_life import State
from watcher.service.loop import Service
from watcher.status.model import FinishedOrder, HeldOrder, Overview, ProductKind

Once = Callable[[Path], Service]


@pytest.fixture
def set_aside(print_folder: Path) -> Callable[..., None]:
    """Set an order of one file aside, as the service does."""

    def hold_it(name: str = "menu", *reasons: str, soft: bool = True, since: str = "2026-11-25T14:05:00+01:00") -> None:
        number = len(list((print_folder / "held").iterdir())) + 1
        taking = print_folder / f"archive/.taking-{number}"
        taking.mkdir(parents=True)
        order = an_order(name, number, card="tag", sheet="a4")
        hold(
            order,
            reasons or ("It is too small.",),
            soft=soft,
            archive=print_folder / "archive",
            held=print_folder / "held",
            since=since,
        )

    return hold_it


def only_held(seen: Overview) -> HeldOrder:
    (order,) = seen.held.entries
    return order


def only_finished(seen: Overview) -> FinishedOrder:
    (order,) = seen.finished.entries
    return order


class TestHeld:
    def test_gives_every_reason_in_full_and_the_ways_out(
        self, look: Callable[[], Overview], set_aside: Callable[..., None]
    ) -> None:
        long = "menu_front.png is 408 x 555 px - " + "far too small for what it is to be, " * 20 + "so export it again."
        set_aside("menu", long, "The back is - by the way - missing its edge.")
        order = only_held(look())
        messages = [reason.message for reason in order.reasons]
        assert messages == [long, "The back is - by the way - missing its edge."]
        assert any('rename this folder to "menu ok"' in way for way in order.ways_out)
        assert order.may_be_accepted
        assert order.since == datetime.fromisoformat("2026-11-25T14:05:00+01:00")
        assert order.place == "held/menu"

    def test_that_cannot_be_accepted_does_not_offer_it(
        self, look: Callable[[], Overview], set_aside: Callable[..., None]
    ) -> None:
        set_aside(soft=False)
        order = only_held(look())
        assert not order.may_be_accepted
        assert not any(" ok" in way for way in order.ways_out)

    def test_that_was_renamed_is_accepted(
        self, print_folder: Path, look: Callable[[], Overview], set_aside: Callable[..., None]
    ) -> None:
        set_aside()
        (print_folder / "held/menu").rename(print_folder / "held/menu ok")
        assert only_held(look()).is_accepted

    @pytest.mark.parametrize("note", [None, "", "why = 3", "a." * 9000 + "a = 1", "[" * 2000, "\xff"])
    def test_folder_without_a_note_of_ours_is_told_of_as_that(
        self, print_folder: Path, look: Callable[[], Overview], note: str | None
    ) -> None:
        (print_folder / "held/stray").mkdir()
        if note is not None:
            (print_folder / "held/stray/held.toml").write_text(note, "latin-1")
        order = only_held(look())
        assert "not set aside by this program" in order.reasons[0].message
        assert not order.may_be_accepted

    @pytest.mark.parametrize("text", [None, "", "Why\n", "\0" * 100])
    def test_keeps_its_reasons_where_why_txt_is_gone_or_changed(
        self, print_folder: Path, look: Callable[[], Overview], set_aside: Callable[..., None], text: str | None
    ) -> None:
        set_aside("menu", "It is too small.", "It is blue.")
        file = print_folder / "held/menu/why.txt"
        file.unlink() if text is None else file.write_text(text)
        assert [reason.message for reason in only_held(look()).reasons] == ["It is too small.", "It is blue."]

    def test_links_and_files_and_hidden_folders_count_for_nothing(
        self, print_folder: Path, look: Callable[[], Overview], tmp_path: Path
    ) -> None:
        (print_folder / "held/link").symlink_to(tmp_path)
        (print_folder / "held/note.txt").write_text("x")
        (print_folder / "held/.sync").mkdir()
        assert look().held.count == 0


class TestFinished:
    def test_is_told_as_it_was_made(
        self, print_folder: Path, once: Once, drop_pair: Callable[..., None], look: Callable[[], Overview]
    ) -> None:
        drop_pair(print_folder / "inbox", "lantern_x50")
        (print_folder / "inbox/lantern.toml").write_text('due = 2026-12-24\nnote = "two piles"\n')
        settings = print_folder / "settings.toml"
        settings.write_text(settings.read_text().replace('size = "letter"', 'size = "letter"\npaper = "white card"'))
        service = once(print_folder)
        order = only_finished(look())
        assert any(order.words in line for line in service.shop.log.written)
        assert (order.words, order.sheets) == ("50 cards = 25 sheets, plus 1 spare", 26)
        assert (order.sheet, order.size, order.paper) == ("letter", "215.9 x 279.4 mm", "white card")
        assert (order.card, order.due, order.note) == ("invitation", date(2026, 12, 24), "two piles")
        assert order.front is not None
        assert all((print_folder / "outbox/lantern" / file.name).is_file() for file in order.files)
        assert [file.kind for file in order.files][:2] == [ProductKind.SHEETS, ProductKind.INSTRUCTIONS]

    def test_is_gone_when_its_sheets_were_collected(
        self, look: Callable[[], Overview], put_out: Callable[..., Path]
    ) -> None:
        folder = put_out()
        assert look().finished.count == 1
        (folder / "lantern_sheets.pdf").unlink()
        assert look().finished.count == 0

    def test_warnings_and_newer_art_are_told(self, look: Callable[[], Overview], put_out: Callable[..., Path]) -> None:
        findings = '[{level = "warn", message = "A little soft."}, {level = "note", message = "Mirrored."}]'
        folder = put_out(findings=findings)
        (folder / "NEWER ART IN lantern-2.txt").write_text("x")
        order = only_finished(look())
        assert order.warnings == ("A little soft.",)
        assert order.newer == ("lantern-2",)

    @pytest.mark.parametrize(
        ("values", "said"),
        [
            ({"duplex": "manual", "backs_order": "n-to-1"}, "printed side down; sheet 26 goes in first"),
            ({"duplex": "manual", "backs_order": "1-to-n"}, "printed side down; sheet 1 goes in first"),
            ({"duplex": "manual"}, "printed side down"),
            ({"duplex": "manual", "flip": "none"}, ""),
            ({"duplex": "automatic"}, ""),
        ],
    )
    def test_says_how_the_stack_goes_back_in(
        self, look: Callable[[], Overview], put_out: Callable[..., Path], values: dict[str, str], said: str
    ) -> None:
        folder = put_out(**{key: f'"{value}"' for key, value in values.items()})
        with (folder / "lantern_ticket.toml").open("a") as ticket:
            ticket.write('[settings.printer]\nreload = "printed side down."\n')
        assert only_finished(look()).second_side == said

    def test_without_a_ticket_is_told_from_the_journal(
        self, print_folder: Path, look: Callable[[], Overview], put_out: Callable[..., Path]
    ) -> None:
        put_out(ticket="")
        write_entries(print_folder, entry(1, State.DONE, folder="lantern", sheets=4, says="8 cards = 4 sheets"))
        order = only_finished(look())
        assert (order.words, order.sheets, order.card) == ("8 cards = 4 sheets", 4, "tag")
        assert order.made is not None

    def test_newest_comes_first(self, look: Callable[[], Overview], put_out: Callable[..., Path]) -> None:
        for hour, name in ((12, "b"), (14, "c"), (13, "a")):
            put_out(name, made_at=f'"2026-11-25T{hour}:00:00+00:00"')
        assert [order.folder for order in look().finished.entries] == ["c", "a", "b"]

    @pytest.mark.parametrize(
        "ticket",
        [
            "",
            b"\xff\xfe",
            "not toml",
            "a." * 9000 + "a = 1",
            "x = " + "[" * 5000,
            'sheet = 3\nquantity = "many"\nup = 0\nsheets = -4\ndue = "soon"\nmade_at = 7\nfindings = 1\nnote = []',
            "quantity = true\nup = 2\nsheets = 99999999999999\n[sheet]\nname = 1\nwidth_mm = nan\nheight_mm = inf",
            'made_at = "0001-01-01T00:00:00"\nfindings = [1, {level = "warn", message = 2}]\n[sheet]\nwidth_mm = -1.0',
            "# " + "x" * 2_000_000,
        ],
        ids=range(9),
    )
    def test_is_told_whatever_its_ticket_says(
        self, look: Callable[[], Overview], put_out: Callable[..., Path], ticket: str | bytes
    ) -> None:
        put_out(ticket=ticket)
        began = time.monotonic()
        order = only_finished(look())
        assert time.monotonic() - began < 2
        assert (order.folder, order.sheets, order.size, order.warnings) == ("lantern", 0, "", ())

    def test_with_a_name_that_is_no_utf_8_is_told(
        self, look: Callable[[], Overview], put_out: Callable[..., Path]
    ) -> None:
        name = os.fsdecode(b"caf\xe9")
        put_out(name)
        assert only_finished(look()).folder == name

    def test_and_half_built_products_are_kept_apart(
        self, print_folder: Path, look: Callable[[], Overview], put_out: Callable[..., Path]
    ) -> None:
        put_out(".making-7")
        (print_folder / "outbox/log.txt").write_text("x")
        (print_folder / "outbox/mine").mkdir()
        assert look().finished.count == 0


class TestPaper:
    def test_is_added_up_by_stock(self, look: Callable[[], Overview], put_out: Callable[..., Path]) -> None:
        put_out("a", sheets=26)
        put_out("b", sheets=30)
        put_out("c", ticket='sheets = 60\n[sheet]\nname = "a4"\nwidth_mm = 210.0\nheight_mm = 297.0\n')
        piles = [(pile.sheet, pile.size, pile.sheets, pile.orders) for pile in look().paper]
        assert piles == [("a4", "210 x 297 mm", 60, 1), ("letter", "215.9 x 279.4 mm", 56, 2)]

    def test_of_what_was_collected_is_not_pulled(
        self, look: Callable[[], Overview], put_out: Callable[..., Path]
    ) -> None:
        shutil.rmtree(put_out())
        assert look().paper == ()


def test_what_was_made_is_unknown_while_the_journal_is_damaged_and_that_is_said(
    print_folder: Path, look: Callable[[], Overview], put_out: Callable[..., Path]
) -> None:
    put_out()
    (print_folder / "state/journal.sqlite").write_bytes(b"no database" * 100)
    seen = look()
    assert "orders may be missing here" in seen.notes[0]
    assert seen.finished.count == 1
