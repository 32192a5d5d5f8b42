"""What happens to a print folder when the kill comes, and what must have come of it in the end.

The service runs in a forked child that kills itself with SIGKILL at a named step (`watcher/steps.py`).
"""

import os
import signal
import zipfile
from collections.abc import Callable
from pathlib import Path

from watcher import steps
from watcher.commands.at_work import service_for
from watcher.records.order_life import Do
from watcher.settings.load import load_settings

NEVER = "never"
TAKEN = frozenset({Do.QUEUE, Do.PREPARE})
DONE = frozenset({Do.KEEP_FOR_DELIVERY, Do.DELIVER, Do.RECORD, Do.LOG_AND_CALL, Do.DROP_NOTE})
MADE = TAKEN | {Do.MAKE} | DONE
HELD = frozenset({Do.HOLD, Do.LOG, Do.DROP_NOTE})


def start_and_stop(folder: Path, kill_at: str, within_s: int = 120) -> int:
    """Run `once` in a child; gives the signal that ended it, 0 for none."""
    child = os.fork()
    if child == 0:
        code = 1
        signal.alarm(within_s)  # a service that does not end fails the test
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


def run_to_its_end(folder: Path) -> None:
    """Run `once` in this process, in peace: a copy of it would copy each page of memory that it writes to."""
    service = service_for(load_settings(folder / "settings.toml"), once=True, to_screen=False)
    service.start()
    service.run()


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
        run_to_its_end(self.folder)


class AnAcceptedOrder(Story):
    made = ("lantern",)

    def before(self) -> None:
        self.pair("lantern", size=(100, 138))
        run_to_its_end(self.folder)

    def drop(self) -> None:
        (self.folder / "held/lantern").rename(self.folder / "held/lantern ok")


class AMendedOrder(Story):
    made = ("lantern",)
    held = ("lantern-2",)

    def before(self) -> None:
        self.pair("lantern", size=(100, 138))
        run_to_its_end(self.folder)

    def drop(self) -> None:
        self.pair("lantern")


class ARepeat(Story):
    made = ("lantern", "lantern-2")
    does = MADE - {Do.PREPARE} | {Do.PREPARE_REPEAT}

    def before(self) -> None:
        self.pair("lantern_x4")
        run_to_its_end(self.folder)

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
