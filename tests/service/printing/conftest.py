"""A print folder with a printer, and the file moves of somebody with a phone."""

import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.small_pictures import tell_nothing
from tests.stand_in_printer import StandIn, stand_in, with_queue
from watcher.commands.at_work import service_for
from watcher.service.loop import Service
from watcher.settings.load import load_settings
from watcher.settings.trusted import keep_yes

WITHIN_S = 20.0


class PrintShop:
    """A print folder at work, its printer, and what a person does."""

    def __init__(self, folder: Path, printer: StandIn, drop: Callable[..., None]) -> None:
        self.folder, self.printer, self.drop = folder, printer, drop
        self.service: Service | None = None

    @property
    def outbox(self) -> Path:
        return self.folder / "outbox"

    @property
    def log(self) -> str:
        return (self.outbox / "log.txt").read_text()

    def settings(self, old: str, new: str) -> None:
        file = self.folder / "settings.toml"
        text = file.read_text()
        assert old in text
        file.write_text(text.replace(old, new))

    def start(self) -> Service:
        self.service = service_for(load_settings(self.folder / "settings.toml"), once=False, to_screen=False)
        self.service.start()
        return self.service

    def stop(self) -> None:
        if self.service is not None:
            self.service.stop()
            self.service = None

    def until(self, what: Callable[[], object]) -> None:
        """Let the service work until something has happened."""
        service = self.service or self.start()
        end = time.monotonic() + WITHIN_S
        while not what():
            assert time.monotonic() < end, (self.names, self.printer.paper, self.printer.asked, self.log)
            service.step(time.monotonic())
            time.sleep(0.005)

    def rest(self) -> None:
        """Let the service work until nothing moves."""
        service = self.service or self.start()
        service.printing._look_at = float("-inf")
        service.step(time.monotonic())
        self.until(lambda: service.printing.is_settled)
        service.step(time.monotonic())

    def make(self, name: str = "lantern_x4") -> None:
        """Have an order of letter sheets made."""
        self.drop(self.folder / "inbox", name)
        plain = name.partition("_")[0]
        self.until(lambda: (self.outbox / plain).exists())

    def sent(self) -> dict[str, list[Any]]:
        """What the last job asked for."""
        return [asked for name, asked in self.printer.heard if name == "create"][-1]

    def rename(self, name: str, new: str) -> None:
        (self.outbox / name).rename(self.outbox / new)

    @property
    def names(self) -> list[str]:
        return sorted(path.name for path in self.outbox.iterdir() if path.is_dir())

    @property
    def done(self) -> list[str]:
        return sorted(path.name for path in (self.outbox / "printed").glob("*") if path.is_dir())


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("watcher.outbox.printing.sending.POLL_S", 0.01)
    monkeypatch.setattr("watcher.outbox.printing.sending.RETRY_S", (0.01, 0.02))
    monkeypatch.setattr("watcher.service.printing.echoes._ECHO", timedelta(0))
    tell_nothing(monkeypatch)


@pytest.fixture
def print_shop(
    print_folder: Path, inline_workers: None, drop_pair: Callable[..., None]
) -> Iterator[Callable[..., PrintShop]]:
    """Start a print folder whose printer is a stand-in."""
    with ExitStack() as stack:

        def start(more: str = "", **printer: Any) -> PrintShop:
            running = stack.enter_context(stand_in(**printer))
            file = print_folder / "settings.toml"
            unseen = file.read_text().replace("[service]", "[service]\nread_back = false")  # nobody looks at pictures
            file.write_text(with_queue(unseen, running.uri, more))
            keep_yes(load_settings(file))
            shop = PrintShop(print_folder, running, drop_pair)
            stack.callback(shop.stop)
            return shop

        yield start


@pytest.fixture
def made(print_shop: Callable[..., PrintShop]) -> PrintShop:
    """A print folder with one order of three sheets, letter, both sides."""
    shop = print_shop()
    shop.make("lantern_x4")
    return shop


@pytest.fixture
def hand_turned(print_shop: Callable[..., PrintShop]) -> PrintShop:
    """The same where a person turns the stack."""
    shop = print_shop('duplex = "manual"')
    shop.make("lantern_x4")
    return shop
