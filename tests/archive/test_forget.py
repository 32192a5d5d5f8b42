"""`[service] keep`: what the archive forgets, and what it never does."""

import shutil
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from watcher.archive import forget as forget_module
from watcher.archive.archived import read_archived
from watcher.archive.forget import Forgetting
from watcher.archive.ticket_index import TicketIndex
from watcher.service.loop import Service
from watcher.settings.folders import FolderSettings
from watcher.settings.load import load_settings

NOW = datetime(2026, 11, 25, 14, 5, tzinfo=UTC)
A_YEAR_S = 365 * 86_400.0
Made = Callable[[str, float], Path]


@pytest.fixture
def folders(print_folder: Path) -> FolderSettings:
    return load_settings(print_folder / "settings.toml").folders


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the folder of an order is kept for the next test, once the first one has made it."""
    return tmp_path_factory.mktemp("archived") / "first"


@pytest.fixture
def made(print_folder: Path, first: Path, once: Callable[[Path], Service], draw_card: Callable[..., Path]) -> Made:
    """An order in the archive that was made so many days ago, its sheets collected; the same ticket for all."""
    if not first.exists():
        draw_card(print_folder / "inbox/tag/first.png", (258, 173))
        once(print_folder)
        shutil.move(print_folder / "archive/first", first)
        shutil.rmtree(print_folder / "outbox/first")
    for place in ("archive", "outbox", "state"):
        (print_folder / place).mkdir(exist_ok=True)
    text = (first / "first_ticket.toml").read_text()
    order = read_archived(first)
    assert order is not None

    def make(name: str, days_ago: float) -> Path:
        folder = print_folder / "archive" / name
        folder.mkdir()
        when = (NOW - timedelta(days=days_ago)).isoformat(timespec="seconds")
        said = text.replace(order.made_at, when).replace('"first"', f'"{name}"')
        (folder / f"{name}_ticket.toml").write_text(said)
        return folder

    return make


def forget(folders: FolderSettings, keep_s: float | None = A_YEAR_S, now: datetime = NOW) -> list[str]:
    return [order.folder for order in Forgetting(folders).step(keep_s, now, 0.0)]


def test_what_is_older_is_forgotten_and_nothing_else(folders: FolderSettings, made: Made) -> None:
    made("old", 366), made("young", 364)
    assert forget(folders) == ["old"]
    assert [path.name for path in folders.archive.iterdir()] == ["young"]


def test_a_ticket_that_is_known_to_be_younger_is_not_opened(
    folders: FolderSettings, made: Made, monkeypatch: pytest.MonkeyPatch
) -> None:
    made("old", 366), made("young", 100), made("unknown", 364)
    with closing(TicketIndex(folders.state)) as index:
        index.read(folders.archive, ["old", "young"])
    opened: list[str] = []
    monkeypatch.setattr(forget_module, "read_archived", lambda folder: opened.append(folder.name))
    forget(folders)
    assert opened == ["old", "unknown"]


def test_by_default_everything_is_kept(folders: FolderSettings, made: Made) -> None:
    made("old", 40_000)
    assert forget(folders, None) == []


def test_nothing_is_forgotten_within_the_first_30_days(folders: FolderSettings, made: Made) -> None:
    made("young", 29.9), made("old", 30.1)
    assert forget(folders, 1.0) == ["old"]


def test_sheets_that_still_lie_in_the_outbox_keep_their_art(folders: FolderSettings, made: Made) -> None:
    made("old", 400)
    (folders.outbox / "old").mkdir()
    assert forget(folders) == []


def test_what_something_held_goes_by_is_kept(
    folders: FolderSettings, made: Made, print_folder: Path, once: Callable[[Path], Service]
) -> None:
    made("lantern", 400)
    (print_folder / "inbox/again.toml").write_text('repeat = "lantern"')  # of which the art is gone
    assert once(print_folder).making.held == 1
    assert forget(folders) == []


def test_folders_that_are_none_of_ours_stay(folders: FolderSettings, made: Made) -> None:
    made("old", 400)
    (folders.archive / "mine").mkdir()
    ticket = made("undated", 400) / "undated_ticket.toml"
    ticket.write_text(ticket.read_text().replace("made_at", "made"))
    assert forget(folders) == ["old"]
    assert sorted(path.name for path in folders.archive.iterdir()) == ["mine", "undated"]


def test_it_looks_at_a_few_at_a_time_once_a_day(folders: FolderSettings, made: Made) -> None:
    for number in range(5):
        made(f"old{number}", 400)
    forgetting = Forgetting(folders)
    assert [len(list(forgetting.step(A_YEAR_S, NOW, 0.0, 2))) for _ in range(4)] == [2, 2, 1, 0]
    made("late", 400)
    assert list(forgetting.step(A_YEAR_S, NOW, 86_399.0)) == []
    assert len(list(forgetting.step(A_YEAR_S, NOW, 86_400.0))) == 1


def test_the_service_says_so_in_the_log_with_a_line_each(
    print_folder: Path, made: Made, once: Callable[[Path], Service]
) -> None:
    made("old", 4000), made("elder", 5000)
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace("[service]", '[service]\nkeep = "2 years"'))
    once(print_folder)
    said = (print_folder / "outbox/log.txt").read_text()
    assert [said.count(f"{name}: made 20") for name in ("old", "elder")] == [1, 1]
    assert "the archive forgets it now (keep)" in said
