"""Orders on their way, told by the journal and by the note of each."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

from tests.orders.an_order import an_order
from tests.status.a_journal import entry, write_entries
from watcher.orders.claim import write_note
from watcher.orders.model import KeptFile
from watcher.records.order_life import State
from watcher.status.model import Overview, Progress


def test_they_are_told_in_the_order_in_which_they_came(print_folder: Path, look: Callable[[], Overview]) -> None:
    states = [State.DELIVERING, State.MAKING, State.TAKEN, State.DONE, State.HELD]
    write_entries(print_folder, *(entry(number, state) for number, state in enumerate(states, start=1)))
    told = [(order.order, order.progress) for order in look().making.entries]
    assert told == [
        ("order 1", Progress.DELIVERING),
        ("order 2", Progress.MAKING),
        ("order 3", Progress.NEXT),
    ]


def test_the_note_tells_day_cards_and_art(print_folder: Path, look: Callable[[], Overview]) -> None:
    write_entries(print_folder, entry(1, State.MAKING))
    file = KeptFile(name="order 1.png", size=7, sha256="", origin=str(print_folder / "inbox/order 1.png"))
    write_note(print_folder / "archive", an_order("order 1", quantity=50, due="2026-12-04", files=(file,)))
    (order,) = look().making.entries
    assert (order.due, order.cards) == (date(2026, 12, 4), "50 cards")
    assert order.art == ("..", "archive", ".taking-1", "order 1.png")


def test_an_order_whose_note_is_gone_at_this_moment_is_told_all_the_same(
    print_folder: Path, look: Callable[[], Overview]
) -> None:
    write_entries(print_folder, entry(1, State.TAKEN))
    (order,) = look().making.entries
    assert (order.order, order.due, order.cards, order.art) == ("order 1", None, "", ())
