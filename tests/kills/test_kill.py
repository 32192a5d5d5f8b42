"""Killed at any step and started again, the service makes each order exactly once and loses nothing (design section 9).

The service runs in a forked child that kills itself with SIGKILL at a named step (`watcher/steps.py`); which steps an
order passes stands in the table of its life (`watcher/records/order_life.py`). Then the service is started again, in a
child too, and the whole print folder is looked at. The short form kills at every step once, and in
each story where it differs from the others. The long form (PRINT_FOLDER_LONG=1) kills at every step in every story that
reaches it; at random instants a real `print-folder run` is killed in test_kill_at_random.py.

Reference for promise 2: delivery by writing aside, flushing and renaming, as Maildir does it (maildir(5)).
"""

import os
import random
import signal
import tomllib
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.whole_folder import contents, left_lying
from watcher import steps
from watcher.commands.at_work import service_for
from watcher.records.order_life import LIFE, Do
from watcher.settings.load import load_settings
from watcher.steps import Step

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")

LONG = os.environ.get("PRINT_FOLDER_LONG") == "1"
NEVER = "never"


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """A killed process, unlike a cut of the power, loses nothing that was written but not flushed to the disk.

    And the instructions, which take half of the time, say nothing about kills.
    """
    monkeypatch.setattr(os, "fsync", lambda _handle: None)
    monkeypatch.setattr("watcher.work.make_order.write_instructions", lambda *_: b"%PDF-1.6\n%%EOF\n")


@pytest.fixture(autouse=True)
def _called(print_folder: Path) -> None:
    """A command after each order, which writes its name down."""
    file = print_folder / "settings.toml"
    told = print_folder.parent / "told"
    command = f"""on_finished = ["sh", "-c", 'echo "$1" >>"$2"', "sh", "{{order}}", "{told}"]"""
    file.write_text(file.read_text().replace("[service]", f"[service]\n{command}"))


def start_and_stop(folder: Path, kill_at: str) -> int:
    """Run `once` in a child; gives the signal that ended it, 0 for none."""
    child = os.fork()
    if child == 0:
        code = 1
        try:
            steps._WANTED, steps._left = kill_at.partition(":")[0], int(kill_at.partition(":")[2] or "1")
            service = service_for(load_settings(folder / "settings.toml"), once=True, to_screen=False)
            service.start()
            service.run()
            code = 0
        finally:
            os._exit(code)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 0, "the service broke down"
    return os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0


TAKEN = frozenset({Do.QUEUE, Do.PREPARE})
DONE = frozenset({Do.KEEP_FOR_DELIVERY, Do.DELIVER, Do.RECORD, Do.LOG_AND_CALL, Do.DROP_NOTE})
MADE = TAKEN | {Do.MAKE} | DONE
HELD = frozenset({Do.HOLD, Do.LOG, Do.DROP_NOTE})


class Story:
    """Something that happens to a print folder: what is dropped, and what must have come of it in the end."""

    made: tuple[str, ...] = ()
    held: tuple[str, ...] = ()
    shared: tuple[str, ...] = ()  # orders that share the sheets of one run
    does: frozenset[Do] = MADE  # what is done over its orders
    comes_as_one = False  # whether several orders lie in one file
    comes_empty = False  # whether it is an empty folder whose name asks for a repeat

    def __init__(self, folder: Path, draw: Callable[..., Path]) -> None:
        self.folder, self.draw = folder, draw

    def pair(self, name: str, **drawing: object) -> None:
        self.draw(self.folder / f"inbox/{name}_front.png", word="F", **drawing)
        self.draw(self.folder / f"inbox/{name}_back.png", word="B", **drawing)

    def before(self) -> None:
        """What has happened in peace."""

    def drop(self) -> None:
        """What is dropped when the kill comes."""
        self.pair("lantern_x4")


class APair(Story):
    made = ("lantern",)


class AZipOfTwoOrdersAndAHalf(Story):
    made = ("comet", "nova")
    held = ("half",)
    does = MADE | HELD
    comes_as_one = True

    def drop(self) -> None:
        names = ["comet_front", "comet_back", "nova_front", "nova_back", "half_front"]
        with zipfile.ZipFile(self.folder / "inbox/all.zip", "w") as archive:
            for name in names:
                archive.write(self.draw(self.folder.parent / f"art/{name}.png", word=name), f"{name}.png")


class ABlurredPair(Story):
    held = ("lantern",)
    does = TAKEN | {Do.MAKE} | HELD

    def drop(self) -> None:
        self.pair("lantern", size=(100, 138))


class TheSameArtAgain(Story):
    made = ("lantern",)
    does = TAKEN | {Do.DROP_SAME}

    def before(self) -> None:
        self.pair("lantern_x4")
        start_and_stop(self.folder, NEVER)


class AnAcceptedOrder(Story):
    made = ("lantern",)

    def before(self) -> None:
        self.pair("lantern", size=(100, 138))
        start_and_stop(self.folder, NEVER)

    def drop(self) -> None:
        (self.folder / "held/lantern").rename(self.folder / "held/lantern ok")


class AMendedOrder(Story):
    made = ("lantern",)
    held = ("lantern-2",)

    def before(self) -> None:
        self.pair("lantern", size=(100, 138))
        start_and_stop(self.folder, NEVER)

    def drop(self) -> None:
        self.pair("lantern")


class ARepeat(Story):
    made = ("lantern", "lantern-2")
    does = MADE - {Do.PREPARE} | {Do.PREPARE_REPEAT}

    def before(self) -> None:
        self.pair("lantern_x4")
        start_and_stop(self.folder, NEVER)

    def drop(self) -> None:
        (self.folder / "inbox/again.toml").write_text('repeat = "lantern"')


class AFolder(Story):
    made = ("lantern",)

    def drop(self) -> None:
        for side in ("front", "back"):
            self.draw(self.folder / f"inbox/lantern x4 due 24 Dec/{side}.png", word=side)


class AnEmptyFolderThatAsksForARepeat(ARepeat):
    comes_empty = True

    def drop(self) -> None:
        (self.folder / "inbox/again lantern x2").mkdir()


class ARepeatOfAnOrderThatIsGone(Story):
    held = ("lantern",)

    def drop(self) -> None:
        (self.folder / "inbox/again.toml").write_text('repeat = "lantern"')


class ARun(Story):
    """Three tags that share a sheet."""

    shared = ("apple", "birch", "cedar")
    does = TAKEN | {Do.EXAMINE, Do.WAIT_FOR_OTHERS, Do.MAKE_RUN, Do.LEAVE_OUT, Do.DELIVER_RUN}
    does |= {Do.RECORD, Do.LOG_IN_RUN, Do.LOG_AND_CALL_RUN, Do.DROP_NOTE}

    def before(self) -> None:
        file = self.folder / "settings.toml"
        file.write_text(file.read_text().replace('size = "A4"', 'size = "A4"\ngang = true'))

    def drop(self) -> None:
        for name in self.shared:
            self.draw(self.folder / f"inbox/tag/{name}.png", (258, 173), word=name)


STORIES = (APair, AZipOfTwoOrdersAndAHalf, ABlurredPair, TheSameArtAgain, AnAcceptedOrder, AMendedOrder, ARepeat)
STORIES = (*STORIES, AFolder, AnEmptyFolderThatAsksForARepeat)
SHORT = {  # steps at which a story differs from those before it; the short form tries these
    APair: set(Step),
    AZipOfTwoOrdersAndAHalf: {"file-moved", "split", "archived", "held", "done", "logged"},
    ABlurredPair: {"begun", "why-written", "held-noted", "held", "held-kept", "logged"},
    TheSameArtAgain: {"queued", "same", "logged", "dropped"},
    AnAcceptedOrder: {"folder-made", "file-moved", "archived"},
    AMendedOrder: {"file-moved", "claimed", "archived"},
    ARepeat: {"claimed", "linked", "begun", "archived", "done"},
    AFolder: {"noted", "file-moved", "claimed", "queued", "archived"},
    AnEmptyFolderThatAsksForARepeat: {"asked-again", "noted", "file-moved", "claimed", "linked"},
}
RUN_STEPS = ["sharing:3", "run-begun", "run-made", "ticket-kept", "archived", "unlisted", "published", "done"]
RUN_STEPS += ["done:3", "logged:3", "logged:4", "called", "told", "forgotten:2"]
if LONG:
    RUN_STEPS += ["sharing", "delivering", "ticket-kept:3", "archived:3", "forgotten", "forgotten:3", "logged"]


def passed(story: type[Story]) -> set[Step]:
    """The steps that a story comes by, as the table of an order's life has them."""
    steps = {step for rule in LIFE if rule.do in story.does for step in rule.steps}
    steps -= set() if story.comes_as_one else {Step.SPLIT}
    return steps if story.comes_empty else steps - {Step.ASKED_AGAIN}


def tried(story: type[Story]) -> list[Step]:
    """The steps at which a story is cut short."""
    return [step for step in Step if step in passed(story) and (LONG or step in SHORT[story])]


def test_each_step_of_an_orders_life_is_tried() -> None:
    of_runs = {Step(step.partition(":")[0]) for step in RUN_STEPS}
    assert of_runs <= passed(ARun)
    of_orders = {step for story in STORIES for step in tried(story)}
    assert of_orders | of_runs == {step for rule in LIFE for step in rule.steps} == set(Step)


@pytest.mark.parametrize(("story", "step"), [(story, step) for story in STORIES for step in tried(story)])
def test_killed_at_any_step_each_order_is_made_once_and_nothing_is_lost(
    print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], story: type[Story], step: Step
) -> None:
    for part in ("held", "archive", "outbox"):
        (print_folder / part).mkdir(exist_ok=True)
    told = story(print_folder, draw_card)
    told.before()
    told.drop()
    dropped = contents(print_folder, "inbox", "held", "archive")
    assert start_and_stop(print_folder, step) == signal.SIGKILL
    assert start_and_stop(print_folder, NEVER) == 0
    check(print_folder, told, dropped)


@pytest.mark.parametrize(
    "step", ["file-moved:2", "split:2", "archived:2", "begun:2", "forgotten:2", "done:2", "called:2"]
)
def test_killed_at_the_second_of_several_the_same_holds(
    print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], step: str
) -> None:
    story = APair if step == "file-moved:2" else AZipOfTwoOrdersAndAHalf
    for part in ("held", "archive", "outbox"):
        (print_folder / part).mkdir(exist_ok=True)
    told = story(print_folder, draw_card)
    told.drop()
    dropped = contents(print_folder, "inbox")
    assert start_and_stop(print_folder, step) == signal.SIGKILL
    assert start_and_stop(print_folder, NEVER) == 0
    check(print_folder, told, dropped)


@pytest.mark.parametrize("step", RUN_STEPS)
def test_killed_at_any_step_a_run_is_made_once_with_all_of_its_orders(
    print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], step: str
) -> None:
    for part in ("held", "archive", "outbox"):
        (print_folder / part).mkdir(exist_ok=True)
    told = ARun(print_folder, draw_card)
    told.before()
    told.drop()
    dropped = contents(print_folder, "inbox")
    assert start_and_stop(print_folder, step) == signal.SIGKILL
    assert start_and_stop(print_folder, NEVER) == 0
    check(print_folder, told, dropped)


@pytest.mark.parametrize("step", ["archived", "published", *(["run-made", "archived:3", "unlisted"] if LONG else [])])
def test_a_journal_lost_in_the_moment_in_which_the_service_dies_makes_no_run_twice(
    print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], step: str
) -> None:
    for part in ("held", "archive", "outbox"):
        (print_folder / part).mkdir(exist_ok=True)
    told = ARun(print_folder, draw_card)
    told.before()
    told.drop()
    dropped = contents(print_folder, "inbox")
    assert start_and_stop(print_folder, step) == signal.SIGKILL
    for file in (print_folder / "state").glob("journal.sqlite*"):
        file.unlink()
    assert start_and_stop(print_folder, NEVER) == 0
    check(print_folder, told, dropped)
    told.drop()
    assert start_and_stop(print_folder, NEVER) == 0
    assert (print_folder / "outbox/log.txt").read_text().count("the same art again") == 3


def test_a_run_with_which_the_service_dies_twice_is_made_singly(
    print_folder: Path, inline_workers: None, draw_card: Callable[..., Path]
) -> None:
    told = ARun(print_folder, draw_card)
    told.before()
    told.drop()
    for _ in range(2):
        assert start_and_stop(print_folder, "run-begun") == signal.SIGKILL
    assert start_and_stop(print_folder, NEVER) == 0
    assert sorted(path.name for path in (print_folder / "outbox").iterdir() if path.is_dir()) == list(ARun.shared)


@pytest.mark.parametrize("step", ["claimed", "held-noted"])
def test_killed_over_a_repeat_of_an_order_that_is_gone_it_is_held_once(
    print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], step: str
) -> None:
    for part in ("held", "archive", "outbox"):
        (print_folder / part).mkdir(exist_ok=True)
    told = ARepeatOfAnOrderThatIsGone(print_folder, draw_card)
    told.drop()
    dropped = contents(print_folder, "inbox")
    assert start_and_stop(print_folder, step) == signal.SIGKILL
    assert start_and_stop(print_folder, NEVER) == 0
    check(print_folder, told, dropped)


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
    assert len(notes) <= 2, "more than held.toml and why.txt, which are ours, is gone"
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


def die_in_the_middle(*_: object) -> bytes:
    """What stands in for a part of making that takes the whole service with it."""
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError


def check_run(folder: Path, run: str, shared: tuple[str, ...]) -> None:
    """The folder of a run: its files and a ticket of each order, the same as in the archive."""
    names = {file.name.removeprefix(run) for file in (folder / "outbox" / run).iterdir()}
    assert names == {"_sheets.pdf", "_instructions.pdf", "_preview.png", *(f"{name}_ticket.toml" for name in shared)}
    for name in shared:
        told = (folder / "outbox" / run / f"{name}_ticket.toml").read_bytes()
        assert (folder / f"archive/{name}/{name}_ticket.toml").read_bytes() == told
        assert tomllib.loads(told.decode())["run"] == run


def test_an_order_with_which_the_service_dies_five_times_in_a_row_is_set_aside(
    print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    APair(print_folder, draw_card).drop()
    with monkeypatch.context() as patch:
        patch.setattr("watcher.work.order_sheets.preview_picture", die_in_the_middle)
        for _ in range(5):
            assert start_and_stop(print_folder, NEVER) == signal.SIGKILL
    assert start_and_stop(print_folder, NEVER) == 0
    assert "died 5 times" in " ".join((print_folder / "held/lantern/why.txt").read_text().split())


def test_so_is_one_with_which_it_dies_before_the_order_may_share_sheets(
    print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    told = ARun(print_folder, draw_card)
    told.before()
    draw_card(print_folder / "inbox/tag/apple.png", (258, 173))
    with monkeypatch.context() as patch:
        patch.setattr("watcher.work.make_gang_run.checked_art", die_in_the_middle)
        for _ in range(5):
            assert start_and_stop(print_folder, NEVER) == signal.SIGKILL
    assert start_and_stop(print_folder, NEVER) == 0
    assert "died 5 times" in " ".join((print_folder / "held/apple/why.txt").read_text().split())


@pytest.mark.parametrize("step", ["begun", "made", "delivering"])
def test_deaths_before_and_after_the_work_on_an_order_say_nothing_against_it(
    print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], step: str
) -> None:
    """Before: five kills while the worker was still starting set a sound order aside (found by the long form)."""
    APair(print_folder, draw_card).drop()
    for _ in range(6):
        start_and_stop(print_folder, step)
    assert start_and_stop(print_folder, NEVER) == 0
    assert (print_folder / "outbox/lantern/lantern_sheets.pdf").exists()


def test_a_retry_begins_the_count_anew(
    print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    APair(print_folder, draw_card).drop()
    with monkeypatch.context() as patch:
        patch.setattr("watcher.work.order_sheets.preview_picture", die_in_the_middle)
        for _ in range(5):
            start_and_stop(print_folder, NEVER)
        start_and_stop(print_folder, NEVER)
        (print_folder / "held/lantern").rename(print_folder / "inbox/lantern")
        assert start_and_stop(print_folder, NEVER) == signal.SIGKILL
    assert start_and_stop(print_folder, NEVER) == 0
    assert (print_folder / "outbox/lantern/lantern_sheets.pdf").exists()


class TestAJournal:
    def made(self, folder: Path, draw: Callable[..., Path]) -> None:
        APair(folder, draw).drop()
        start_and_stop(folder, NEVER)

    @pytest.mark.parametrize("how", ["deleted", "cut", "scribbled"] + ["zeros"] * LONG)
    def test_that_is_lost_or_damaged_is_made_again_and_nothing_is_made_twice(
        self, print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], how: str
    ) -> None:
        self.made(print_folder, draw_card)
        self.damage(print_folder / "state/journal.sqlite", how)
        APair(print_folder, draw_card).drop()
        assert start_and_stop(print_folder, NEVER) == 0
        assert sorted(path.name for path in (print_folder / "outbox").iterdir() if path.is_dir()) == ["lantern"]
        assert "the same art again" in (print_folder / "outbox/log.txt").read_text()

    def damage(self, file: Path, how: str) -> None:
        for beside in ("-wal", "-shm"):
            file.with_name(file.name + beside).unlink(missing_ok=True)
        data = file.read_bytes()
        if how == "deleted":
            file.unlink()
        elif how == "zeros":
            file.write_bytes(bytes(len(data)))
        elif how == "cut":
            file.write_bytes(data[: len(data) // 2])
        else:
            scribble = random.Random(7)
            file.write_bytes(data[:4096] + bytes(scribble.randrange(256) for _ in data[4096:]))

    @pytest.mark.parametrize(
        "step", ["delivering", "archived", "held", "done", "told"] + ["made", "published", "held-noted"] * LONG
    )
    def test_that_is_lost_in_the_same_moment_as_the_service_dies_makes_nothing_twice(
        self, print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], step: str
    ) -> None:
        story = (ABlurredPair if step.startswith("held") else APair)(print_folder, draw_card)
        for part in ("held", "archive", "outbox"):
            (print_folder / part).mkdir(exist_ok=True)
        story.drop()
        dropped = contents(print_folder, "inbox")
        assert start_and_stop(print_folder, step) == signal.SIGKILL
        for file in (print_folder / "state").glob("journal.sqlite*"):
            file.unlink()
        assert start_and_stop(print_folder, NEVER) == 0
        check(print_folder, story, dropped)

    @pytest.mark.parametrize("step", ["linked", "archived", "done"])
    def test_that_is_lost_as_the_service_dies_over_a_repeat_makes_it_once(
        self, print_folder: Path, inline_workers: None, draw_card: Callable[..., Path], step: str
    ) -> None:
        (print_folder / "held").mkdir()
        story = ARepeat(print_folder, draw_card)
        story.before()
        story.drop()
        dropped = contents(print_folder, "inbox", "archive")
        assert start_and_stop(print_folder, step) == signal.SIGKILL
        for file in (print_folder / "state").glob("journal.sqlite*"):
            file.unlink()
        assert start_and_stop(print_folder, NEVER) == 0
        check(print_folder, story, dropped)

    def test_on_a_network_drive_is_refused(
        self, print_folder: Path, inline_workers: None, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("watcher.service.loop.network_kind", lambda _folder: "nfs4")
        service = service_for(load_settings(print_folder / "settings.toml"), once=True, to_screen=False)
        with pytest.raises(Exception, match="network drive"):
            service.start()
