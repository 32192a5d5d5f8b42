"""A side that comes after its order was made without it."""

from dataclasses import replace

import pytest

from tests.orders.an_order import art_of
from watcher.inbox.found import Earlier
from watcher.orders.late_side import join_made
from watcher.orders.mended import MadeBefore
from watcher.orders.model import Piece, Ticket
from watcher.terms import EarlierUse, Side

IN_HELD = Earlier(place="held/spring", since="2026-05-01T10:00:00", use=EarlierUse.MENDED)
IN_ARCHIVE = Earlier(place="archive/spring", since="2026-05-02T10:00:00", use=EarlierUse.AWAITED)


@pytest.fixture
def made(drop, find):
    """An archived order of a new front and the back of before, as no newer back had come; its files lie elsewhere."""
    paths = drop("spring_front.png", "spring_back.png")
    of_side = {found.parts.side: found for found in find()}
    for path in paths:
        path.rename(path.parent.parent / path.name)
    moved = [
        replace(found, file=replace(found.file, path=path.parent.parent / path.name))
        for found, path in zip((of_side[Side.FRONT], of_side[Side.BACK]), paths, strict=True)
    ]
    before = (None, IN_HELD)
    pieces = [
        Piece(side=found.parts.side, found=replace(found, earlier=replace(IN_ARCHIVE, before=earlier)))
        for found, earlier in zip(moved, before, strict=True)
    ]
    return MadeBefore(name="spring", key="spring", folder=None, pieces=tuple(pieces), ticket=Ticket())


def test_the_late_back_goes_with_the_front_of_the_archive(drop, pair, made, settings, read):
    drop(**{"spring_back.png": b"new"})
    (plan,) = join_made(pair(), {("", "spring"): made}.get, settings, read)
    assert (plan.missing, plan.name) == (None, "spring")
    assert [piece.found.is_newer for piece in plan.pieces] == [False, True]
    assert art_of(plan) == {"front": "spring_front.png", "back": "spring_back.png"}


def test_the_side_that_was_new_then_is_an_order_of_its_own(drop, pair, made, settings, read):
    drop(**{"spring_front.png": b"newer"})
    (plan,) = join_made(pair(), {("", "spring"): made}.get, settings, read)
    assert plan.missing == "back"


def test_without_such_an_order_nothing_changes(drop, pair, settings, read):
    drop("spring_back.png")
    plans = pair()
    assert join_made(plans, lambda _key: None, settings, read) == plans
