"""When orders that wait for others are made; the clocks are passed in."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.orders.an_order import an_order
from watcher.orders.model import ArtSource, Order, Repeat
from watcher.service.life.gang_pool import MOST_AT_ONCE, Moment, Pool
from watcher.settings.load import load_settings
from watcher.settings.model import Settings
from watcher.terms import Side
from watcher.work.gang_kind import Kind, kind_of

FRONT = ArtSource(side=Side.FRONT, file="a.png", sha256="")
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
HOUR = 3600.0
TEXT = """
[cards.tag]
trim = "85 x 55 mm"
sheet = "a4"
[cards.label]
trim = "55 x 85 mm"
sheet = "a4"
[cards.badge]
trim = "85 x 55 mm"
sheet = "a4"
[cards.proofed]
trim = "85 x 55 mm"
sheet = "a4"
approve = true
[cards.rimmed]
trim = "85 x 55 mm"
sheet = "a4"
paper_edge = "measure"
[sheets.a4]
size = "A4"
gang = true
printer = "office"
[sheets.sra3]
size = "SRA3"
printer = "office"
[printers.office]
flip = "long-edge"
"""


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    (tmp_path / "settings.toml").write_text(TEXT)
    return load_settings(tmp_path / "settings.toml")


def order(number: int, card: str = "tag", **more: object) -> Order:
    return an_order(f"order{number}", number, **{"card": card, **more})


def after(hours: float, wall: float | None = None) -> Moment:
    """So many hours after noon, by both clocks unless told otherwise."""
    return Moment(steady=hours * HOUR, wall=NOON + timedelta(hours=hours if wall is None else wall))


def nobody(_kind: Kind) -> bool:
    return False


def ready(pool: Pool, settings: Settings, now: Moment, is_coming: Callable[[Kind], bool] = nobody) -> list[int]:
    return [one.number for one in pool.ready(settings, now, is_coming)]


@pytest.fixture
def pool() -> Pool:
    """Two orders: one came at noon, one an hour later."""
    pool = Pool()
    pool.add(order(1), NOON, after(0))
    pool.add(order(2), NOON + timedelta(hours=1), after(1))
    return pool


def test_all_are_made_when_the_first_has_waited_two_hours(pool: Pool, settings: Settings) -> None:
    assert ready(pool, settings, after(1.9)) == []
    assert ready(pool, settings, after(2)) == [1, 2]


def test_what_is_made_waits_no_longer(pool: Pool, settings: Settings) -> None:
    pool.take(pool.ready(settings, after(2), nobody))
    assert len(pool) == 0
    assert pool.next_in(settings, after(2)) is None


def test_the_next_run_is_told_beforehand(pool: Pool, settings: Settings) -> None:
    assert pool.next_in(settings, after(1.5)) == 0.5 * HOUR
    assert pool.latest(settings, after(1.5)) == {1: NOON + timedelta(hours=2), 2: NOON + timedelta(hours=2)}


def test_what_was_waited_before_a_restart_counts(settings: Settings) -> None:
    pool = Pool()
    pool.add(order(1), NOON - timedelta(hours=1.5), Moment(steady=7.0, wall=NOON))
    assert pool.next_in(settings, Moment(steady=7.0, wall=NOON)) == 0.5 * HOUR


@pytest.mark.parametrize("wall", [-1000.0, 0.0])
def test_a_clock_that_was_set_back_makes_nobody_wait_longer(pool: Pool, settings: Settings, wall: float) -> None:
    assert ready(pool, settings, after(2, wall=wall)) == [1, 2]


def test_an_order_of_the_future_waits_no_longer_than_others(settings: Settings) -> None:
    pool = Pool()
    pool.add(order(1), NOON + timedelta(days=30), after(0))
    assert ready(pool, settings, after(2)) == [1]


@pytest.mark.parametrize(
    ("due", "is_ready"), [("2026-11-24", True), ("2026-11-25", True), ("2026-11-26", False), ("2026-12-24", False)]
)
def test_a_due_date_is_not_missed_to_save_paper(settings: Settings, due: str, is_ready: bool) -> None:
    pool = Pool()
    pool.add(order(1), NOON, after(0))
    pool.add(order(2, due=due), NOON, after(0))
    assert ready(pool, settings, after(0)) == ([1, 2] if is_ready else [])


def test_nor_when_the_wait_would_reach_into_the_day(settings: Settings) -> None:
    """At a quarter past ten in the evening two hours are more than is left of the day."""
    pool, late = Pool(), NOON + timedelta(hours=10.25)
    pool.add(order(1, due="2026-11-26"), late, after(10.25))
    assert ready(pool, settings, after(10.25)) == [1]


def test_one_that_says_now_takes_the_others_along(pool: Pool, settings: Settings) -> None:
    pool.add(order(3, now=True), NOON + timedelta(hours=1), after(1))
    assert ready(pool, settings, after(1)) == [1, 2, 3]


def test_in_haste_nothing_waits(settings: Settings) -> None:
    pool = Pool(in_haste=True)
    pool.add(order(1), NOON, after(0))
    assert ready(pool, settings, after(0)) == [1]


def test_what_had_come_when_it_was_asked_for_waits_no_longer(pool: Pool, settings: Settings) -> None:
    pool.hurry(NOON + timedelta(minutes=30))
    assert ready(pool, settings, after(1)) == [1, 2]
    pool.take([order(1)])
    assert ready(pool, settings, after(1)) == []


def test_others_on_their_way_are_waited_for(pool: Pool, settings: Settings) -> None:
    assert ready(pool, settings, after(2), lambda kind: kind.sheet == "a4") == []


def test_but_not_when_there_is_no_room_for_more(settings: Settings) -> None:
    pool = Pool()
    for number in range(MOST_AT_ONCE + 5):
        pool.add(order(number), NOON, after(0))
    assert ready(pool, settings, after(0), lambda _kind: True) == list(range(MOST_AT_ONCE))


def test_orders_of_another_kind_wait_on(pool: Pool, settings: Settings) -> None:
    pool.add(order(3, "label"), NOON + timedelta(hours=1), after(1))
    assert ready(pool, settings, after(2)) == [1, 2]


def test_without_ganging_in_the_settings_what_waits_is_made(pool: Pool, settings: Settings) -> None:
    plain = settings.sheets["a4"].model_copy(update={"gang": False})
    changed = settings.model_copy(update={"sheets": {**settings.sheets, "a4": plain}})
    assert ready(pool, changed, after(1)) == [1, 2]


class TestKinds:
    def test_cards_of_other_names_share_when_all_is_the_same(self, settings: Settings) -> None:
        assert kind_of(order(1), settings) == kind_of(order(2, "badge"), settings) is not None

    def test_other_sizes_do_not(self, settings: Settings) -> None:
        assert kind_of(order(1), settings) != kind_of(order(2, "label"), settings)

    @pytest.mark.parametrize(
        "alone",
        [
            {"card": "rimmed"},  # its place on the sheet depends on its art
            {"card": "proofed"},  # the customer is to see it first
            {"approve": True},
            {"sheet": "sra3"},  # a sheet that is not shared
            {"fault": "it cannot be made"},
            {"repeat": Repeat(order="order0")},  # is to be the same sheet as the first time
            {"card": "gone"},
            {"quantity": 10_001},
            {"art": (FRONT, replace(FRONT, file="b.png", design=2))},  # two designs
            {"quantity": 5_001, "overs": "100 %"},
        ],
    )
    def test_some_share_with_none(self, settings: Settings, alone: dict[str, object]) -> None:
        assert kind_of(order(1, **alone), settings) is None

    def test_one_that_the_customer_has_seen_shares(self, settings: Settings) -> None:
        assert kind_of(order(1, "proofed", accepted=True), settings) == kind_of(order(2), settings)
