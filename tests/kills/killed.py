"""A story told, the service killed in it and started again, and the whole print folder looked at."""

import signal
import tomllib
from collections.abc import Callable
from pathlib import Path

from tests.kills.stories import (
    AMendedOrder,
    AnAcceptedOrder,
    Story,
    TheSameArtAgain,
    run_to_its_end,
    start_and_stop,
)
from tests.whole_folder import contents, left_lying


def tell(story: type[Story], folder: Path, draw: Callable[..., Path]) -> Story:
    """A story on a print folder up to the moment of the kill."""
    for part in ("held", "archive", "outbox"):
        (folder / part).mkdir(exist_ok=True)
    told = story(folder, draw)
    told.before()
    told.drop()
    return told


def kill_and_start_again(told: Story, step: str, *, loses_journal: bool = False) -> None:
    """Kill the service at a step, with the journal lost in that moment or not; start it again and look it all over."""
    dropped = contents(told.folder, "inbox", "held", "archive")
    assert start_and_stop(told.folder, step) == signal.SIGKILL
    if loses_journal:
        for file in (told.folder / "state").glob("journal.sqlite*"):
            file.unlink()
    run_to_its_end(told.folder)
    check(told.folder, told, dropped)


def check(folder: Path, story: Story, dropped: set[str]) -> None:
    """The whole print folder as it must be in the end."""
    orders = sorted(path.name for path in (folder / "outbox").iterdir() if path.is_dir())
    assert not [path.name for path in (folder / "inbox").iterdir() if "lantern" in path.name]
    if story.shared:
        check_run(folder, orders.pop(), story.shared)
    assert orders == sorted(story.made)
    assert sorted(path.name for path in (folder / "archive").iterdir()) == sorted((*story.made, *story.shared))
    assert sorted(path.name for path in (folder / "held").iterdir()) == sorted(story.held)
    for order in orders:
        names = {file.name.removeprefix(order) for file in (folder / "outbox" / order).iterdir()}
        assert {"_sheets.pdf", "_instructions.pdf", "_preview.png", "_ticket.toml"} <= names
        assert tomllib.loads((folder / f"outbox/{order}/{order}_ticket.toml").read_text())["order"] == order
        assert (folder / f"archive/{order}/{order}_ticket.toml").is_file()
    kept = contents(folder, "inbox", "archive", "held")
    notes = {digest for digest in dropped if digest not in kept}
    assert not notes or isinstance(story, AnAcceptedOrder | AMendedOrder), "a file is lost"
    assert len(notes) <= 3, "more than held.toml, why.txt and the picture beside them, which are ours, is gone"
    check_told(folder, story)
    assert left_lying(folder) == []
    assert [path for path in (folder / "inbox").rglob("*") if path.is_file()] == []


def check_told(folder: Path, story: Story) -> None:
    """Each order is told of: by one line in the log for people, and to the shop's own command at least once."""
    log = [line[21:] for line in (folder / "outbox/log.txt").read_text().splitlines()]
    for order in (*story.made, *story.shared):
        assert len([line for line in log if line.startswith(f"{order}: made: ")]) == 1, (order, log)
    runs = [line.partition(":")[0] for line in log if line.startswith("run-") and ": made: " in line]
    assert len(runs) == bool(story.shared), log
    held = [line for line in log if ": held: " in line]
    assert len(held) == len(set(held)) >= len(story.held), log
    assert sum("the same art again" in line for line in log) == isinstance(story, TheSameArtAgain)
    called = (folder.parent / "told").read_text().split() if (story.made or runs) else []
    assert set(called) == {*story.made, *runs}


def check_run(folder: Path, run: str, shared: tuple[str, ...]) -> None:
    """The folder of a run: its files, and a picture and a ticket of each order, the same as in the archive."""
    names = {file.name.removeprefix(run) for file in (folder / "outbox" / run).iterdir()}
    of_each = {f"{name}{end}" for name in shared for end in ("_ticket.toml", "_card.png")}
    assert names == {"_sheets.pdf", "_instructions.pdf", "_preview.png", *of_each}
    for name in shared:
        told = (folder / "outbox" / run / f"{name}_ticket.toml").read_bytes()
        assert (folder / f"archive/{name}/{name}_ticket.toml").read_bytes() == told
        assert tomllib.loads(told.decode())["run"] == run
