"""Killed at any step, with a printer that dies too: no sheet is sent twice, and each order is accounted for.

The service runs in a forked child that kills itself at a named step (`watcher/steps.py`, `PrintStep`); the printer is a
stand-in that counts the sheets on paper. Then the service is started again. The long form (PRINT_FOLDER_LONG=1) takes
every step with every kind of printer, and a hundred jobs with kills of service and printer at random.
"""

import os
import random
import shutil
import signal
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from tests.conftest import INVITATION_PX, SETTINGS, InlineWorker
from tests.kills.conftest import without_small_print
from tests.kills.stories import run_to_its_end, start_and_stop
from tests.small_pictures import show_nothing, tell_nothing
from tests.stand_in_printer import StandIn, stand_in, with_queue
from watcher.outbox.printing.notes import read_printings
from watcher.outbox.printing.sending_life import LIFE, UNDER_WAY, JobStage
from watcher.settings.load import load_settings
from watcher.settings.trusted import keep_yes
from watcher.steps import PrintStep

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")

LONG = os.environ.get("PRINT_FOLDER_LONG") == "1"
NEVER = "never"
SHEETS = 3  # of each order
ORDERS = [f"order{number:03}" for number in range(100 if LONG else 3)]


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch, nothing_flushed: None) -> None:
    monkeypatch.setattr("watcher.outbox.printing.sending.POLL_S", 0.01)
    monkeypatch.setattr("watcher.outbox.printing.sending.RETRY_S", (0.01, 0.02))
    show_nothing(monkeypatch)
    tell_nothing(monkeypatch)


def run_once(folder: Path, kill_at: str = NEVER) -> int:
    """Run `once`, where it is killed in a child; gives the signal that ended it, 0 for none."""
    if kill_at == NEVER:
        run_to_its_end(folder)
        return 0
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # the printer's thread stays behind in the parent
        return start_and_stop(folder, kill_at, within_s=300 if LONG else 30)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A print folder with one order of three sheets, made once for all tests."""
    return make(tmp_path_factory.mktemp("made") / "shop", SETTINGS, ["lantern"])


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same with many orders."""
    return make(tmp_path_factory.mktemp("many") / "shop", SETTINGS, ORDERS)


@pytest.fixture(scope="module")
def hand_turned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same with one order, whose stack a person turns."""
    manual = SETTINGS.replace('flip = "long-edge"', 'flip = "long-edge"\nduplex = "manual"')
    return make(tmp_path_factory.mktemp("hand-turned") / "shop", manual, ["lantern"])


def make(folder: Path, settings: str, orders: list[str]) -> Path:
    """Have orders made."""
    (folder / "inbox").mkdir(parents=True)
    (folder / "settings.toml").write_text(without_small_print(settings))
    for order in orders:
        for side, colour in (("front", "#d8e4ee"), ("back", "#eee4d8")):
            image = Image.new("RGB", INVITATION_PX, colour)
            ImageDraw.Draw(image).rectangle([80, 100, 190, 170], fill="#202860")
            image.save(folder / f"inbox/{order}_x4_{side}.png")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("watcher.work.workers.LocalWorker", InlineWorker)
        show_nothing(patch)
        tell_nothing(patch)
        run_once(folder)
    return folder


@pytest.fixture
def ready(made: Path, tmp_path: Path, inline_workers: None) -> Iterator[Callable[..., tuple[Path, StandIn]]]:
    """Have somebody ask for the sheets of orders; gives the print folder and the printer."""
    running = []

    def start(*, of: Path = made, word: str = "print", **printer: object) -> tuple[Path, StandIn]:
        context = stand_in(**printer)
        standing = context.__enter__()
        running.append(context)
        folder = tmp_path / "shop"
        shutil.copytree(of, folder)
        file = folder / "settings.toml"
        file.write_text(with_queue(file.read_text(), standing.uri))
        keep_yes(load_settings(file))
        for path in [path for path in (folder / "outbox").iterdir() if path.is_dir()]:
            path.rename(f"{path} {word}")
        return folder, standing

    yield start
    for context in running:
        context.__exit__(None, None, None)


def check(folder: Path, printer: StandIn, order: str = "lantern", sheets: int = SHEETS) -> str:
    """The order as it must be in the end; gives what the folder says of it."""
    on_paper = sum(count for name, count in printer.paper if name.startswith(f"{order} "))
    assert on_paper <= sheets, f"{on_paper} of {sheets} sheets on paper: {printer.paper}"
    found = [path.name for path in (folder / "outbox").iterdir() if path.name.startswith(order)]
    done = [path.name for path in (folder / "outbox/printed").glob(order)]
    assert len(found) + len(done) == 1, (found, done)
    (said,) = [word.removeprefix(order).strip() for word in found] or ["printed"]
    if said == "printed":
        assert on_paper == sheets
    else:
        assert said in ("perhaps printed", "not printed", "print")
        assert on_paper == 0 or said == "perhaps printed", (said, on_paper)
    return said


def test_each_step_is_in_the_table_or_around_it() -> None:
    assert {step for rule in LIFE for step in rule.steps} | {PrintStep.ASKED, PrintStep.MOVED} == set(PrintStep)


def test_the_table_names_each_stage_and_ends_somewhere() -> None:
    ends = {JobStage.PRINTED, JobStage.NOT_PRINTED, JobStage.PERHAPS, JobStage.WITHDRAWN}
    assert {rule.then for rule in LIFE if isinstance(rule.then, JobStage)} == set(UNDER_WAY) | ends


HOLDING = list(PrintStep)
NOT_HOLDING = [step for step in PrintStep if step not in (PrintStep.RELEASING, PrintStep.RELEASED)]


@pytest.mark.parametrize("step", HOLDING)
def test_killed_at_any_step_all_is_printed_once_where_the_printer_holds_jobs(ready, step: PrintStep) -> None:
    folder, printer = ready()
    assert run_once(folder, step) == signal.SIGKILL
    assert run_once(folder) == 0
    assert check(folder, printer) == "printed"


@pytest.mark.parametrize("step", NOT_HOLDING if LONG else [PrintStep.SENDING, PrintStep.TAKEN, PrintStep.PRINTING])
def test_killed_at_any_step_nothing_is_printed_twice_where_it_does_not(ready, step: PrintStep) -> None:
    folder, printer = ready(holds=False)
    assert run_once(folder, step) == signal.SIGKILL
    assert run_once(folder) == 0
    said = check(folder, printer)
    is_sent = step in (PrintStep.TAKEN, PrintStep.PRINTING, PrintStep.ENDED, PrintStep.PRINTED, PrintStep.MOVED)
    assert said == "printed" or not is_sent


TOGETHER = [(step, holds) for step in HOLDING for holds in (True, False)]
IN_SHORT = [
    (PrintStep.CREATED, True),
    (PrintStep.SENDING, True),
    (PrintStep.RELEASING, True),
    (PrintStep.RELEASED, True),
]
IN_SHORT += [(PrintStep.PRINTING, True), (PrintStep.SENDING, False), (PrintStep.TAKEN, False)]


@pytest.mark.parametrize(("step", "holds"), TOGETHER if LONG else IN_SHORT)
def test_killed_together_with_a_printer_that_forgets_its_jobs(ready, step: PrintStep, holds: bool) -> None:
    folder, printer = ready(holds=holds)
    killed = run_once(folder, step)
    assert killed == signal.SIGKILL or (not holds and step not in NOT_HOLDING)
    printer.jobs.clear()
    assert run_once(folder) == 0
    said = check(folder, printer)
    if killed and step in (PrintStep.ASKED, PrintStep.CREATING, PrintStep.CREATED):
        assert said == "printed"


OPERATIONS = ("printer", "validate", "create", "send", "job", "release")
YES_NO = (True, False)
DEATHS = [
    (name, when, forgets, holds)
    for name in OPERATIONS
    for when in ("before", "after")
    for forgets in YES_NO
    for holds in YES_NO
]
SHORT_DEATHS = [(name, when, True, True) for name in ("create", "send", "release") for when in ("before", "after")]
SHORT_DEATHS += [("send", "before", False, False), ("send", "after", True, False), ("job", "after", False, True)]


@pytest.mark.parametrize(("operation", "when", "forgets", "holds"), DEATHS if LONG else SHORT_DEATHS)
def test_a_printer_that_dies_over_any_question_prints_nothing_twice(
    ready, operation: str, when: str, forgets: bool, holds: bool
) -> None:
    folder, printer = ready(holds=holds, forgets=forgets)
    printer.dies[operation] = when
    assert run_once(folder) == 0
    assert run_once(folder) == 0
    check(folder, printer)


@pytest.mark.parametrize("step", [PrintStep.RELEASING, PrintStep.PRINTED])
def test_killed_over_the_fronts_of_a_stack_the_backs_never_follow_by_themselves(
    ready, hand_turned: Path, step: PrintStep
) -> None:
    folder, printer = ready(of=hand_turned)
    assert run_once(folder, step) == signal.SIGKILL
    assert run_once(folder) == 0
    assert [path.name for path in (folder / "outbox").iterdir() if path.is_dir()] == ["lantern fronts printed"]
    assert [(name.split()[1], count) for name, count in printer.paper] == [("fronts", SHEETS)]


@pytest.mark.parametrize("step", [PrintStep.RELEASED])
def test_killed_over_one_sheet_it_is_one_sheet(ready, step: PrintStep) -> None:
    folder, printer = ready(word="print 1")
    assert run_once(folder, step) == signal.SIGKILL
    assert run_once(folder) == 0
    assert printer.sheets == 1
    assert (folder / "outbox/lantern").is_dir()


def test_killed_again_and_again_over_one_job(ready) -> None:
    folder, printer = ready()
    for step in HOLDING:
        run_once(folder, step)
    assert run_once(folder) == 0
    check(folder, printer)


@pytest.mark.timeout(1800 if LONG else 120)
def test_over_many_jobs_with_kills_at_random_no_sheet_is_sent_twice(ready, many: Path) -> None:
    dice = random.Random(14)
    folder, printer = ready(of=many)
    for _ in range(4 * len(ORDERS)):
        printer.forgets = dice.random() < 0.3
        if dice.random() < 0.5:
            printer.dies[dice.choice(["printer", "create", "send", "job", "release"])] = dice.choice(
                ["before", "after"]
            )
        run_once(folder, f"{dice.choice(list(PrintStep))}:{dice.randint(1, 3)}")
        if dice.random() < 0.2:
            printer.jobs.clear()
    printer.dies.clear()
    assert run_once(folder) == 0
    said = [check(folder, printer, order) for order in ORDERS]
    assert "print" not in said
    assert said.count("printed") >= len(ORDERS) // 4
    assert len(read_printings(folder / "state")) == len(ORDERS)


def test_the_art_and_the_sheets_are_all_there_in_the_end(ready) -> None:
    folder, _ = ready()
    before = sorted(path.name for path in (folder / "outbox/lantern print").iterdir())
    run_once(folder, PrintStep.PRINTED)
    assert run_once(folder) == 0
    names = sorted(path.name for path in (folder / "outbox/printed/lantern").iterdir())
    assert names == sorted([*before, "printing.txt"])


def test_a_printer_that_only_calls_jobs_held_gets_nothing_twice(ready) -> None:
    """Such is a new job without its document in the printing system's own virtual printer; it cannot be let go."""
    folder, printer = ready(pretends=True, forgets=True)
    printer.dies["send"] = "after"
    assert run_once(folder) == 0
    assert run_once(folder) == 0
    assert check(folder, printer) == "perhaps printed"
