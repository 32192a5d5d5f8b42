"""A removal says what goes before it takes an order out of the archive, and never touches what is no order."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.archive.archived_order import put_order
from tests.orders.an_order import an_order
from watcher.archive.remove import plan_removal, remove_order
from watcher.errors import WrongUsage
from watcher.orders.claim_note import note_text
from watcher.orders.model import Repeat
from watcher.records.journal import Entry, open_journal
from watcher.records.log import EventLog
from watcher.records.order_life import State
from watcher.settings.folders import FolderSettings
from watcher.settings.load import load_settings


@pytest.fixture
def folders(print_folder: Path) -> FolderSettings:
    """An archive with a spring and a folder that is no order."""
    for name in ("archive/mine", "outbox", "state"):
        (print_folder / name).mkdir(parents=True)
    (put_order(print_folder / "archive", "Spring", quantity=1, sheets=1) / "a.png").touch()
    return load_settings(print_folder / "settings.toml").folders


def test_it_says_what_goes_and_takes_it_out_and_no_more(folders):
    removal = plan_removal("spring", folders)
    assert removal.says == (
        "Spring (1 card, tag, made Fri 1 May 2026) leaves the archive with 2 files; it cannot be repeated any more."
    )
    log = EventLog(folders.outbox / "log.txt", lambda: datetime(2026, 5, 2, tzinfo=UTC))
    remove_order(removal, log)
    assert log.written == ["Spring: taken out of the archive by hand"]
    assert [path.name for path in folders.archive.iterdir()] == ["mine"]


def test_sheets_in_the_outbox_are_said_to_stay(folders):
    (folders.outbox / "Spring").mkdir()
    assert plan_removal("Spring", folders).says.endswith("Its sheets in the outbox stay.")


def test_a_folder_that_is_no_order_is_left_to_the_person(folders):
    with pytest.raises(WrongUsage, match=r"its mine_ticket\.toml is missing.*delete that folder by hand"):
        plan_removal("mine", folders)
    with pytest.raises(WrongUsage, match="There is no order sprig in the archive. The nearest names there: Spring"):
        plan_removal("sprig", folders)


@pytest.mark.parametrize(("state", "is_refused"), [(State.MAKING, True), (State.DELIVERING, True), (State.DONE, False)])
def test_an_order_in_hand_is_not_removed(folders, state, is_refused):
    journal = open_journal(folders.state)
    journal.write(Entry(number=1, name="x", key="x", card="tag", state=state, since="", folder="Spring"))
    journal.close()
    if is_refused:
        with pytest.raises(WrongUsage, match="are being made now"):
            plan_removal("Spring", folders)
    else:
        assert plan_removal("Spring", folders).folder == folders.archive / "Spring"


def test_an_order_that_a_repeat_is_being_made_of_is_not_removed(folders):
    """However its name was written when the repeat was asked for."""
    repeat = an_order("again", repeat=Repeat(order="SPRING"))
    (folders.archive / ".taking-3.json").write_bytes(note_text(repeat))
    (folders.archive / ".taking-4.json").write_bytes(note_text(an_order("other")))
    with pytest.raises(WrongUsage, match="The sheets of Spring are being made now"):
        plan_removal("Spring", folders)
