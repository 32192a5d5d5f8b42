"""The facts about a print folder, read from its folders and its journal, whatever lies in them."""

import os
import shutil
import time
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest

from watcher.inbox.inspection import inspect_file
from watcher.inbox.scan import Identity
from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import Correction, Terms
from watcher.records.health import Health, read_health, write_health
from watcher.service.lock import take_lock
from watcher.service.loop import Service
from watcher.settings.alignment import save_alignment
from watcher.settings.alignment_file import Alignment
from watcher.settings.load import load_settings
from watcher.status.model import Overview, WaitingOrder
from watcher.status.overview import OverviewReader
from watcher.terms import Duplex, Flip

Once = Callable[[Path], Service]


def only_waiting(seen: Overview) -> WaitingOrder:
    (order,) = seen.waiting.entries
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
        assert seen.left_alone.entries == (
            'holiday: an empty folder. Put a front and a back into it; for an order of before again, call it "again'
            ' holiday"',
        )
        assert not seen.needs_somebody


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
        from watcher.archive import outbox_tickets as uncollected

        original = uncollected.read_ticket_file
        monkeypatch.setattr(uncollected, "read_ticket_file", lambda file: read.append(file.name) or original(file))
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
