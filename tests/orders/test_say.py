"""Why an order stays in the inbox, and which of its art came earlier, is said in a line."""

from pathlib import Path

import pytest

from tests.orders.an_order import an_order
from watcher.inbox.found import Earlier, Found
from watcher.inbox.name_parts import NameParts
from watcher.inbox.scan import Identity, SeenFile
from watcher.orders.model import ArtSource, Piece, Planned
from watcher.orders.say import earlier_words, waiting_line, why_it_waits
from watcher.terms import EarlierUse, Side


def earlier(place: str) -> Earlier:
    return Earlier(place=place, since="2026-05-01T10:11:12+02:00", use=EarlierUse.MENDED)


def piece(side: Side, came: Earlier | None = None, design: int = 1) -> Piece:
    identity = Identity(device=0, inode=0, size=1, mtime_ns=0, ctime_ns=0)
    file = SeenFile(path=Path(f"{side}.png"), folder=None, name=f"{side}.png", identity=identity)
    parts = NameParts(order="spring", key="spring", side=side, quantity=None, extension="png")
    return Piece(side=side, found=Found(file=file, parts=parts, earlier=came), design=design)


def plan(**values: object) -> Planned:
    return Planned(**({"name": "spring", "key": "spring", "folder": None} | values))


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({}, "complete"),
        ({"missing": "back"}, "waits for its back"),
        ({"missing": "art"}, "waits for the art for its job ticket"),
        ({"missing": "designs", "lacks": "3 and 4 are missing"}, "waits for its other designs: 3 and 4 are missing"),
        ({"fault": "It is\ntorn.", "missing": "back"}, "It is\\ntorn."),
        ({"arriving": True, "fault": "It is torn."}, "still arriving"),
    ],
)
def test_the_reason_that_can_be_helped_first_is_said(values, words):
    assert why_it_waits(plan(**values)) == words


def test_the_line_begins_with_the_name_and_stays_one_line():
    assert waiting_line(plan(name="a\nb", missing="back")).endswith("b: waits for its back")
    assert "\n" not in waiting_line(plan(name="a\nb", missing="back"))


def test_an_order_of_no_said_number_of_designs_tells_how_many_have_come():
    there = plan(pieces=(piece(Side.FRONT), piece(Side.FRONT, design=2)), open_ended=True)
    assert why_it_waits(there).startswith("2 designs so far; ")


@pytest.mark.parametrize(("place", "can_be_moved"), [("held/spring", True), ("archive/spring", False)])
def test_while_new_art_may_come_it_says_what_is_used_else(place, can_be_moved):
    waits = plan(pieces=(piece(Side.FRONT), piece(Side.BACK, earlier(place))), waits_for="a new back")
    said = why_it_waits(waits)
    assert said.startswith(f"waits for a new back; after a while that in {place} is used")
    assert said.endswith(f"to use it at once, move {place} back into the inbox") is can_be_moved


def test_earlier_art_is_told_by_side_and_designs_with_where_it_lay():
    old = earlier("held/spring")
    art = [ArtSource(side=Side.FRONT, file=f"{one}.png", sha256="ab", design=one) for one in (1, 2, 3)]
    backs = [ArtSource(side=Side.BACK, file="b.png", sha256="cd", design=one, earlier=old) for one in (3, 2)]
    assert earlier_words(an_order(art=(*art, *backs))) == (
        "; its back of 2 and 3 did not come anew, it lay in held/spring since Fri 1 May 2026, 10:11"
    )
    assert earlier_words(an_order(art=(art[0], backs[0]), only=(1,))) == ""
