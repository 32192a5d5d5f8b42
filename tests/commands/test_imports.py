"""A command is at once where it loads only what it needs: which libraries may not come with which command.

`python -X importtime` names every module that a process loads, on standard error (docs.python.org, "Command line and
environment"). What loading each costs, in starts of a bare Python (our own measurement): typer 6, pydantic 8, which
typer's options and the settings need; pypdf 11, numpy 10, loguru 8, reportlab 7, pypdfium2 6, rich 4, Pillow 2.
"""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.long_form import in_long_form
from watcher.commands.app import COMMANDS
from watcher.service.lock import take_lock

DRAWING = {"numpy", "PIL", "pypdf", "pypdfium2", "reportlab", "isal"}
SERVING = {"loguru", "watchdog", "multiprocessing", "asyncio", "distributed"}
SHOWING = {"rich", "tomlkit"}
READING = {"pydantic", "tomllib", "sqlite3"}


# what `importlib.import_module` loads is not named by `-X importtime`, so the process tells what it has at its end
RUN = """
import atexit, sys
atexit.register(lambda: print("loaded:", *sys.modules, file=sys.stderr))
from watcher.commands.app import main
main()
"""


def modules_of(*words: str) -> set[str]:
    """Run a command and give the whole names of the modules that its process loaded."""
    ran = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", RUN, *words], capture_output=True, text=True, check=False
    )
    assert ran.returncode in (0, 1), ran.stderr[-500:]
    lines = ran.stderr.splitlines()
    timed = {line.rpartition("|")[2].strip() for line in lines if line.startswith("import time:")}
    return timed.union(*(line.split()[1:] for line in lines if line.startswith("loaded: ")))


def loaded_by(*words: str) -> set[str]:
    """Run a command and give the names of the packages that its process loaded."""
    return {module.partition(".")[0] for module in modules_of(*words)}


@pytest.fixture
def worked_folder(print_folder: Path, once, draw_card) -> Path:
    """A print folder with an order in archive and outbox, one that is held, and one that waits."""
    draw_card(print_folder / "inbox/tag/night_x3.png", (258, 173))
    draw_card(print_folder / "inbox/tag/small_x3.png", (20, 15))
    once(print_folder)
    draw_card(print_folder / "inbox/moon_front.png")
    return print_folder


def test_the_help_loads_no_more_than_the_command_line():
    modules = modules_of("--help")
    loaded = {module.partition(".")[0] for module in modules}
    assert "typer" in loaded
    assert loaded.isdisjoint(DRAWING | SERVING | SHOWING | READING)
    ours = {"app", "options", "usage"}
    assert {name for module in modules if (name := module.removeprefix("watcher.commands.")) != module} == ours


@pytest.mark.parametrize("command", ["status", "orders"])
def test_a_command_is_loaded_without_the_others(command: str):
    modules = modules_of(command, "--help")
    assert f"watcher.commands.{command}" in modules
    assert not [one for one in COMMANDS if one != command and f"watcher.commands.{one}" in modules]


@pytest.mark.parametrize(
    "command", [("status",), ("orders", "night", "--json"), *in_long_form(("status", "--json"), ("orders",))]
)
def test_a_list_loads_nothing_that_draws_or_serves(worked_folder: Path, command: tuple[str, ...]):
    loaded = loaded_by(*command, "--settings", str(worked_folder / "settings.toml"))
    assert "pydantic" in loaded  # the settings were read
    assert loaded.isdisjoint(DRAWING | SERVING | SHOWING)


def test_a_list_of_what_is_known_loads_nothing_that_reads_a_ticket_or_the_inbox(worked_folder: Path):
    words = ("orders", "--settings", str(worked_folder / "settings.toml"))
    assert "watcher.archive.archived" in modules_of(*words)  # the first time
    known = modules_of(*words)
    assert "watcher.archive.ticket_index" in known
    assert known.isdisjoint({"watcher.archive.archived", "watcher.archive.ticket_reader", "watcher.orders.model"})
    assert known.isdisjoint({"watcher.inbox.names", "watcher.inbox.unpack", "watcher.status.overview"})


def test_a_look_at_a_folder_where_no_order_waits_for_others_loads_nothing_of_that(worked_folder: Path):
    loaded = modules_of("status", "--settings", str(worked_folder / "settings.toml"))
    assert "watcher.status.overview" in loaded
    assert not any(module.startswith(("watcher.service.life", "watcher.archive.archived")) for module in loaded)


NAMES_AND_NOTES = {"watcher.inbox.names", "watcher.inbox.quantity_words", "watcher.inbox.named_day"}
NAMES_AND_NOTES |= {"watcher.orders.gathered", "watcher.orders.pairing", "watcher.orders.claim"}
NAMES_AND_NOTES |= {"watcher.orders.model", "watcher.orders.held_note", "watcher.outbox.why"}
SENT_AND_MEASURED = {"watcher.outbox.printing.notes", "watcher.outbox.printing.order_printing"}
SENT_AND_MEASURED |= {
    "watcher.outbox.printing.contract",
    "watcher.settings.alignment",
    "watcher.settings.alignment_file",
}


def test_a_look_where_all_is_made_loads_nothing_that_reads_an_order_on_its_way(print_folder: Path, once, draw_card):
    draw_card(print_folder / "inbox/tag/night_x3.png", (258, 173))
    once(print_folder)
    loaded = modules_of("status", "--settings", str(print_folder / "settings.toml"))
    assert "watcher.status.finished" in loaded
    assert loaded.isdisjoint(NAMES_AND_NOTES | SENT_AND_MEASURED)
    assert loaded.isdisjoint({"watcher.status.inbox", "watcher.status.held", "watcher.status.in_hand"})


def test_a_look_where_nothing_was_sent_to_a_printer_loads_nothing_of_printers(worked_folder: Path):
    loaded = modules_of("status", "--settings", str(worked_folder / "settings.toml"))
    assert "watcher.orders.gathered" in loaded  # something waits
    assert loaded.isdisjoint(SENT_AND_MEASURED)


def test_a_repeat_that_is_left_to_the_service_at_work_loads_none_of_it(worked_folder: Path):
    lock = take_lock(worked_folder / "state")
    loaded = loaded_by("repeat", "night", "--settings", str(worked_folder / "settings.toml"))
    lock.close()
    assert loaded.isdisjoint(DRAWING | SERVING | SHOWING)
    assert list((worked_folder / "inbox").glob("repeat-order-*.toml"))
