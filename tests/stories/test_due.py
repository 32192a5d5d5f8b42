"""What is due sooner is made sooner, however long the line is."""

import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from watcher.commands.at_work import service_for
from watcher.service import claiming
from watcher.service.loop import Service
from watcher.settings.load import load_settings

Tag = Callable[..., None]
RESCAN_S = 31.0


@pytest.fixture
def tag(print_folder: Path, draw_card: Callable[..., Path]) -> Tag:
    """Drop a tag, with its due date; or one that is wanted now."""

    def drop(name: str, due: str | None = None, *, now: bool = False) -> None:
        if due or now:
            (print_folder / f"inbox/tag/{name}.toml").write_text("now = true" if now else f"due = {due}")
        draw_card(print_folder / f"inbox/tag/{name}.png", (258, 173), word=name)

    return drop


@pytest.fixture
def service(print_folder: Path, inline_workers: None) -> Iterator[Service]:
    """A service with one worker, to be driven by hand."""
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace("[service]", "[service]\nworkers = 1"))
    (print_folder / "inbox/tag").mkdir()
    service = service_for(load_settings(file), once=False, to_screen=False)
    service.start()
    yield service
    service.stop()


def made(folder: Path) -> list[str]:
    return re.findall(r"(\S+): made:", (folder / "outbox/log.txt").read_text())


def test_a_due_order_dropped_behind_many_goes_first(print_folder: Path, service: Service, tag: Tag) -> None:
    now = time.monotonic()
    for number in range(8):
        tag(f"card{number}")
    service.step(now)
    assert not service.making.has_room
    tag("later", "2026-12-24"), tag("soon", "2026-12-01"), tag("whenever")
    now += RESCAN_S
    service.step(now)
    assert (print_folder / "inbox/tag/whenever.png").exists()  # there is no room for what is not due
    while not service.scheduling.is_idle or (print_folder / "inbox/tag/whenever.png").exists():
        service.step(now := now + 1)
    first, *others = made(print_folder)
    assert first == "card0"  # it was in hand
    assert others.index("soon") + 1 == others.index("later") <= 2
    assert others[-1] == "whenever"


def test_what_is_wanted_now_goes_before_what_is_due(print_folder: Path, service: Service, tag: Tag) -> None:
    now = time.monotonic()
    for number in range(8):
        tag(f"card{number}", "2026-12-01")
    service.step(now)
    assert not service.making.has_room
    tag("urgent", now=True)
    service.step(now + RESCAN_S)
    while not service.scheduling.is_idle:
        service.step(now := now + 1)
    assert made(print_folder).index("urgent") <= 2  # one was in hand, one followed before the look


def test_behind_a_long_line_what_comes_is_seen_without_an_event(print_folder: Path, service: Service, tag: Tag) -> None:
    for number in range(8):
        tag(f"card{number}")
    service.step(time.monotonic())
    assert not service.making.has_room
    tag("urgent", now=True)
    for _ in range(3):
        service.step(time.monotonic() + 1)  # far less than `rescan`, and no event is watched for
    assert "urgent" in made(print_folder)


def test_workers_begin_while_more_is_being_taken(
    print_folder: Path, service: Service, tag: Tag, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(20):
        tag(f"card{number}")
    made_at_claim: list[int] = []
    claim = claiming.claim

    def counting(*said: Any) -> Any:
        made_at_claim.append(service.making.made)
        return claim(*said)

    monkeypatch.setattr(claiming, "claim", counting)
    service.step(time.monotonic())
    assert len(made_at_claim) == 20
    assert made_at_claim[0] == 0
    assert made_at_claim[-1] > 0


def test_what_lies_in_the_inbox_together_is_made_by_its_due_dates(
    print_folder: Path, service: Service, tag: Tag
) -> None:
    tag("none"), tag("later", "2026-12-24"), tag("soon", "2026-12-01")
    now = time.monotonic()
    service.step(now)
    while not service.scheduling.is_idle:
        service.step(now := now + 1)
    assert made(print_folder) == ["soon", "later", "none"]
