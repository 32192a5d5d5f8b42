"""A print folder with a service at work in this process and its workers beside it, driven step by step."""

import multiprocessing
import os
import shutil
import time
from collections.abc import Callable
from pathlib import Path

from loguru import logger

from watcher.commands.at_work import service_for
from watcher.settings.load import load_settings
from watcher.settings.trusted import keep_yes

SETTINGS = """
[service]
quiet = "{quiet}"
events = "{events}"
workers = {workers}
read_back = {read_back}
{more}
[cards.card]
trim = "{trim}"
bleed = "{bleed}"
sheet = "sheet"
warn_ppi = 60
hold_ppi = 20
[sheets.sheet]
size = "{sheet}"
printer = "office"
[printers.office]
flip = "long-edge"
"""


class BenchShop:
    """A print folder made anew, its service started; close it at the end.

    Args:
        folder: where; what is there is removed.
        said: for the settings: workers, read_back, trim, bleed, sheet, quiet, events, and more lines of [service].
    """

    def __init__(self, folder: Path, **said: object) -> None:
        usual = {"workers": 1, "read_back": "true", "trim": "5 x 7 in", "bleed": "0.125 in", "sheet": "letter"}
        usual |= {"quiet": "0 s", "events": "polling", "more": ""}
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
        (folder / "settings.toml").write_text(SETTINGS.format(**{**usual, **said}))
        self.folder, self.inbox, self.outbox = folder, folder / "inbox", folder / "outbox"
        os.environ["XDG_CONFIG_HOME"] = str(folder.with_name("configuration"))
        settings = load_settings(folder / "settings.toml")
        keep_yes(settings)
        self.service = service_for(settings, once=False, to_screen=False)
        logger.remove()
        before = set(multiprocessing.active_children())
        self._before = before
        self.service.start()

    @property
    def workers(self) -> list[int]:
        """The process numbers of its workers."""
        return [child.pid for child in multiprocessing.active_children() if child not in self._before and child.pid]

    def drop(self, files: dict[str, Path]) -> None:
        """Put files into the inbox by rename, as a sync program does; a copy is made first."""
        aside = self.folder / "aside"
        aside.mkdir(exist_ok=True)
        for name, file in files.items():
            shutil.copy2(file, aside / name)
        for name in files:
            (aside / name).rename(self.inbox / name)

    def made(self, name: str) -> bool:
        """Whether an order lies in the outbox."""
        return (self.outbox / name).exists()

    def run_until(self, is_done: Callable[[], bool], longest_s: float = 600.0, *, wake: bool = True) -> None:
        """Let the service work as it does by itself, until something is so; `wake`: it looks at its inbox at once."""
        begun = time.monotonic()
        if wake:
            self.service.wake()
        while not is_done():
            if time.monotonic() - begun > longest_s:
                raise TimeoutError(f"not done after {longest_s:.0f} s")
            self.service.wait()
            self.service.step(time.monotonic())

    def make(self, name: str) -> None:
        """Work until an order lies in the outbox."""
        self.run_until(lambda: (self.outbox / name).exists() or (self.folder / "held" / name).exists())
        if not (self.outbox / name).exists():
            raise RuntimeError((self.folder / "held" / name / "why.txt").read_text())

    def close(self) -> None:
        """Stop the service."""
        self.service.stop()
