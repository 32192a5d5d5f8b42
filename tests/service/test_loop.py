"""Start, steps and stop of a service, by a steady clock that the test holds."""

from collections.abc import Callable
from pathlib import Path

from watcher.service.loop import Service


def test_a_gone_inbox_is_trouble_until_the_next_try_after_five_seconds(service: Service):
    elsewhere = service.shop.inbox.with_name("elsewhere")
    service.shop.inbox.rename(elsewhere)
    service.step(0.0)
    assert "the folder inbox is missing" in str(service.trouble)
    elsewhere.rename(service.shop.inbox)
    service.step(4.9)
    assert service.trouble
    service.step(5.0)
    assert service.trouble is None
    assert service.shop.log.written[-1].endswith("going on")


def test_once_says_what_it_came_to(once: Callable[[Path], Service], print_folder: Path, draw_card: Callable[..., Path]):
    draw_card(print_folder / "inbox/otter_front.png")
    lines = [*once(print_folder).came_to()]
    assert lines == ["0 made, 0 held, 1 waiting.", "  otter: waits for its back"]
