"""The facts about a print folder, read from its folders and its journal, whatever lies in them."""

import os
import shutil
import time
import zipfile
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.orders.an_order import an_order
from watcher.inbox.inspection import inspect_file
from watcher.inbox.scan import Identity
from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import Correction, Terms
from watcher.outbox.hold import hold
from watcher.records.health import Health, read_health, write_health
from watcher.records.journal import Entry, open_journal
from watcher.records.order_life import State
from watcher.service.lock import take_lock
from watcher.service.loop import Service
from watcher.settings.alignment import save_alignment
from watcher.settings.alignment_file import Alignment
from watcher.settings.load import load_settings
from watcher.status.model import FinishedOrder, HeldOrder, Overview, ProductKind, Progress, WaitingOrder
from watcher.status.overview import OverviewReader, read_overview
from watcher.terms import Duplex, Flip

Once = Callable[[Path], Service]


@pytest.fixture
def look(print_folder: Path) -> Callable[[], Overview]:
    """Look the print folder over."""
    for name in ("outbox", "held", "archive", "state"):
        (print_folder / name).mkdir(exist_ok=True)
    return lambda: read_overview(load_settings(print_folder / "settings.toml"))


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


@pytest.fixture
def put_out(print_folder: Path) -> Callable[..., Path]:
    """Put a finished order into the outbox; gives its folder."""

    def put(name: str = "lantern", *, ticket: str | bytes | None = None, **values: Any) -> Path:
        folder = print_folder / "outbox" / name
        folder.mkdir(parents=True)
        for suffix in ("_sheets.pdf", "_instructions.pdf", "_preview.png"):
            (folder / (name + suffix)).write_bytes(b"x")
        body = {"quantity": 50, "up": 2, "sheets": 26, "made_at": '"2026-11-25T12:00:00+00:00"', **values}
        text = "".join(f"{key} = {value}\n" for key, value in body.items())
        text += '[sheet]\nname = "letter"\nwidth_mm = 215.9\nheight_mm = 279.4\n'
        data = text.encode() if ticket is None else ticket.encode() if isinstance(ticket, str) else ticket
        (folder / f"{name}_ticket.toml").write_bytes(data)
        return folder

    return put


def only_waiting(seen: Overview) -> WaitingOrder:
    (order,) = seen.waiting.entries
    return order


def only_held(seen: Overview) -> HeldOrder:
    (order,) = seen.held.entries
    return order


def only_finished(seen: Overview) -> FinishedOrder:
    (order,) = seen.finished.entries
    return order


@pytest.fixture
def is_still(print_folder: Path) -> Callable[[], list[tuple[str, int, int]]]:
    """What lies in the print folder, with sizes and dates."""

    def listing() -> list[tuple[str, int, int]]:
        stats = [(str(path), path.lstat()) for path in sorted(print_folder.rglob("*"))]
        return [(name, status.st_size, status.st_mtime_ns) for name, status in stats]

    return listing


class TestWaiting:
    def test_half_says_which_side_is_missing_since_when_and_until_when(
        self, print_folder: Path, look: Callable[[], Overview], draw_card: Callable[..., Path]
    ) -> None:
        before = datetime.now(UTC) - timedelta(seconds=1)
        draw_card(print_folder / "inbox/tag/../lantern_front.png")
        order = only_waiting(look())
        assert (order.order, order.place, order.missing, order.arriving) == ("lantern", "inbox", "back", False)
        assert order.since is not None
        assert order.held_after is not None
        assert before < order.since < datetime.now(UTC) + timedelta(seconds=1)
        assert order.held_after - order.since == timedelta(minutes=15)
        assert order.files == ("lantern_front.png",)

    def test_in_a_card_folder_says_where(
        self, print_folder: Path, look: Callable[[], Overview], draw_card: Callable[..., Path]
    ) -> None:
        draw_card(print_folder / "inbox/invitation/lantern_front.png")
        assert only_waiting(look()).place == "inbox/invitation"

    def test_cut_short_is_still_arriving(
        self, print_folder: Path, look: Callable[[], Overview], draw_card: Callable[..., Path]
    ) -> None:
        art = draw_card(print_folder / "inbox/lantern_front.png")
        os.truncate(art, art.stat().st_size // 2)
        order = only_waiting(look())
        assert (order.arriving, order.why) == (True, "still arriving")

    def test_beside_a_side_that_is_arriving_is_told_of_once(
        self, print_folder: Path, look: Callable[[], Overview], drop_pair: Callable[..., None]
    ) -> None:
        drop_pair(print_folder / "inbox")
        os.truncate(print_folder / "inbox/lantern_back.png", 900)
        order = only_waiting(look())
        assert (order.order, order.arriving) == ("lantern", True)

    def test_job_ticket_waits_for_its_art(self, print_folder: Path, look: Callable[[], Overview]) -> None:
        (print_folder / "inbox/lantern.toml").write_text("quantity = 5\n")
        assert only_waiting(look()).missing == "art"

    def test_file_of_no_use_says_why(self, print_folder: Path, look: Callable[[], Overview]) -> None:
        (print_folder / "inbox/menu.docx").write_bytes(b"words")
        order = only_waiting(look())
        assert order.missing is None
        assert "PNG, JPEG" in order.why

    def test_zip_is_opened_by_the_service_alone(
        self, print_folder: Path, look: Callable[[], Overview], draw_card: Callable[..., Path], tmp_path: Path
    ) -> None:
        file = print_folder / "inbox/spring.zip"
        with zipfile.ZipFile(file, "w") as archive:
            archive.write(draw_card(tmp_path / "1.png"), "spring_front.png")
        assert only_waiting(look()).why == "not looked at yet"
        settings = load_settings(print_folder / "settings.toml")
        known = {Identity.of(file.lstat()): inspect_file(file)}
        assert only_waiting(OverviewReader().read(settings, Health(at_work=True), known)).missing == "back"

    def test_longest_comes_first(
        self, print_folder: Path, look: Callable[[], Overview], draw_card: Callable[..., Path]
    ) -> None:
        first, second = (draw_card(print_folder / f"inbox/{name}_front.png") for name in ("z", "a"))
        while second.stat().st_ctime_ns == first.stat().st_ctime_ns:
            os.utime(second)
        assert [order.order for order in look().waiting.entries] == ["z", "a"]

    def test_large_copies_are_not_read_whole(
        self, print_folder: Path, look: Callable[[], Overview], drop_pair: Callable[..., None]
    ) -> None:
        """Two gigabytes of the same art beside itself: told apart by their ends."""
        drop_pair(print_folder / "inbox")
        for name in ("lantern_front.png", "lantern_front (1).png"):
            shutil.copy(print_folder / "inbox/lantern_back.png", print_folder / "inbox" / name)
            os.truncate(print_folder / "inbox" / name, 1 << 30)
        began = time.monotonic()
        look()
        assert time.monotonic() - began < 5

    def test_inbox_that_is_gone_is_a_note_and_the_rest_is_told(
        self, print_folder: Path, look: Callable[[], Overview], put_out: Callable[..., Path]
    ) -> None:
        put_out()
        (print_folder / "inbox").rmdir()
        seen = look()
        assert "inbox cannot be looked at" in seen.notes[0]
        assert seen.finished.count == 1

    def test_folder_that_is_no_cards_is_left_alone(self, print_folder: Path, look: Callable[[], Overview]) -> None:
        (print_folder / "inbox/holiday").mkdir()
        seen = look()
        assert seen.left_alone.entries == ("holiday: a folder that is no card's",)
        assert not seen.needs_somebody


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
        assert order.pictured == "lantern_preview.png"
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


def entry(number: int, state: State, **more: Any) -> Entry:
    return Entry(
        **{"number": number, "name": f"order {number}", "key": f"order {number}", "card": "tag", "state": state,
           "since": "2026-11-25T12:00:00+00:00", **more}
    )  # fmt: skip


def write_entries(print_folder: Path, *entries: Entry) -> None:
    journal = open_journal(print_folder / "state")
    for one in entries:
        journal.write(one)
    journal.close()


class TestInHand:
    def test_is_told_in_the_order_in_which_it_came(self, print_folder: Path, look: Callable[[], Overview]) -> None:
        states = [State.DELIVERING, State.MAKING, State.TAKEN, State.DONE, State.HELD]
        write_entries(print_folder, *(entry(number, state) for number, state in enumerate(states, start=1)))
        told = [(order.order, order.progress) for order in look().making.entries]
        assert told == [
            ("order 1", Progress.DELIVERING),
            ("order 2", Progress.MAKING),
            ("order 3", Progress.NEXT),
        ]

    def test_is_unknown_while_the_journal_is_damaged_and_that_is_said(
        self, print_folder: Path, look: Callable[[], Overview], put_out: Callable[..., Path]
    ) -> None:
        put_out()
        (print_folder / "state/journal.sqlite").write_bytes(b"no database" * 100)
        seen = look()
        assert "journal" in seen.notes[0]
        assert seen.finished.count == 1


class TestHealth:
    def test_of_no_service_is_that_nobody_is_at_work(self, look: Callable[[], Overview]) -> None:
        assert look().health == Health(at_work=False)

    def test_of_a_service_is_what_it_wrote_down(self, print_folder: Path, look: Callable[[], Overview]) -> None:
        looked = datetime(2026, 11, 25, 14, 5, tzinfo=UTC)
        with take_lock(print_folder / "state"):
            write_health(print_folder / "state", Health(at_work=True, last_scan=looked, paused="the disk is full"))
            assert look().health == Health(at_work=True, last_scan=looked, paused="the disk is full")

    def test_of_a_service_that_has_ended_is_not_paused(self, print_folder: Path, look: Callable[[], Overview]) -> None:
        write_health(print_folder / "state", Health(at_work=True, paused="the disk is full"))
        assert look().health == Health(at_work=False)

    @pytest.mark.parametrize("text", ["", "looked = 3\npaused = 4", "[" * 3000, "looked = 'x'"])
    def test_that_cannot_be_read_is_not_known(self, tmp_path: Path, text: str) -> None:
        (tmp_path / "health.toml").write_text(text)
        assert read_health(tmp_path, at_work=True) == Health(at_work=True)


class TestLooking:
    def test_changes_nothing(
        self,
        print_folder: Path,
        once: Once,
        drop_pair: Callable[..., None],
        draw_card: Callable[..., Path],
        look: Callable[[], Overview],
        is_still: Callable[[], list[tuple[str, int, int]]],
    ) -> None:
        drop_pair(print_folder / "inbox", "lantern")
        drop_pair(print_folder / "inbox", "blurred", size=(100, 138))
        draw_card(print_folder / "inbox/alone_front.png")
        once(print_folder)
        before = is_still()
        seen = look()
        assert (seen.waiting.count, seen.held.count, seen.finished.count) == (1, 1, 1)
        assert is_still() == before

    def test_again_reads_again_only_what_has_changed(
        self,
        print_folder: Path,
        look: Callable[[], Overview],
        put_out: Callable[..., Path],
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        put_out("a")
        changed = put_out("b") / "b_ticket.toml"
        read: list[str] = []
        from watcher.status import finished as uncollected

        original = uncollected.read_ticket
        monkeypatch.setattr(uncollected, "read_ticket", lambda file: read.append(file.name) or original(file))
        reader, settings = OverviewReader(), load_settings(print_folder / "settings.toml")
        reader.read(settings, Health(at_work=True), {})
        changed.write_text(changed.read_text().replace("sheets = 26", "sheets = 333"))
        seen = reader.read(settings, Health(at_work=True), {})
        assert sorted(read) == ["a_ticket.toml", "b_ticket.toml", "b_ticket.toml"]
        assert {order.folder: order.sheets for order in seen.finished.entries} == {"a": 26, "b": 333}

    def test_of_more_than_anybody_reads_is_cut_with_the_newest_kept(
        self, print_folder: Path, look: Callable[[], Overview], put_out: Callable[..., Path]
    ) -> None:
        old = print_folder / "outbox/old"
        shutil.move(put_out("old"), old)
        os.utime(old, (1, 1))
        for number in range(1003):
            (print_folder / "held" / f"stray {number}").mkdir()
            (print_folder / "outbox" / f"{number}").mkdir()
            (print_folder / "outbox" / f"{number}/{number}_sheets.pdf").write_bytes(b"")
        began = time.monotonic()
        seen = look()
        assert time.monotonic() - began < 5
        assert (len(seen.held.entries), seen.held.more, seen.held.count) == (1000, 3, 1003)
        assert (len(seen.finished.entries), seen.finished.more) == (1000, 4)
        assert "old" not in {order.folder for order in seen.finished.entries}


# -- the printer's correction ------------------------------------------------------------------------------------------


def test_a_damaged_alignment_file_is_said(look, print_folder: Path) -> None:
    (print_folder / "alignment.toml").write_text("shift = [")
    (note,) = look().notes
    assert note.startswith("alignment.toml: ")
    assert note.endswith("Until then these orders are held.")


def test_an_old_correction_is_said(look, print_folder: Path) -> None:
    settings = load_settings(print_folder / "settings.toml")
    save_alignment(settings, measured(datetime.now(UTC) - timedelta(days=91)))
    (note,) = look().notes
    assert note.startswith("The correction of office on letter is 91 days old")


def test_a_recent_correction_is_not(look, print_folder: Path) -> None:
    save_alignment(load_settings(print_folder / "settings.toml"), measured(datetime.now(UTC)))
    assert look().notes == ()


def measured(when: datetime) -> Alignment:
    return Alignment(
        printer="office", sheet="letter", made_at=when, terms=Terms.SHIFT, marks=6, sheets=1, read_by="by light or pin",
        correction=Correction(shift=Point(Fraction(1), Fraction(0)), turn_degrees=0.0, scale_x=1.0, scale_y=1.0),
        residual_mm=0.1, residual_mark=1, scatter_mm=None, scatter_worst_mm=None, flip=Flip.LONG_EDGE,
        size=Size(Fraction("215.9"), Fraction("279.4")), duplex=Duplex.AUTOMATIC,
    )  # fmt: skip
