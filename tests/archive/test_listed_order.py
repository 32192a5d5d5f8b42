"""What a list tells of an order is kept as JSON and comes back the same."""

import json
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from tests.archive.an_archived_record import archived
from watcher.archive.listed_order import from_kept, listed, to_kept
from watcher.orders.cost import Cost
from watcher.orders.model import ArtSource
from watcher.orders.wishes import Wishes, overs_from
from watcher.terms import Side

FRONT, BACK = (ArtSource(side=side, file=f"a_{side}.png", sha256="ab" * 32) for side in (Side.FRONT, Side.BACK))
ORDER = archived(
    folder="lantern-2",
    repeat_of="lantern",
    wishes=Wishes(card="invitation", sheet="letter", quantity=10, overs=overs_from("5 %"), due=date(2026, 5, 2)),
    art=(FRONT, BACK),
    designs=3,
)


@pytest.mark.parametrize("cost", [None, Cost(paper=Decimal("3.10"), printing=None, money="EUR")])
def test_it_comes_back_as_it_was(cost):
    order = listed(replace(ORDER, cost=cost))
    kept = json.loads(json.dumps(to_kept(order)))
    assert from_kept("lantern-2", kept, 4) == replace(order, repeated=4)


def test_it_tells_what_the_ticket_does():
    order = listed(ORDER)
    assert (order.cards, order.overs, order.due, order.note) == (30, "5 %", "2026-05-02", None)
    assert order.paper_m2(6) == ORDER.paper_m2 == pytest.approx(0.36)


def test_the_art_is_the_same_in_any_order_and_another_for_another_card():
    turned, other = replace(ORDER, art=(BACK, FRONT)), replace(ORDER, wishes=replace(ORDER.wishes, card="tag"))
    assert listed(turned).same_art == listed(ORDER).same_art != listed(other).same_art
