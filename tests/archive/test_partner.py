"""A side that comes late after all is put together with the art of the archived order that could not wait for it."""

import hashlib
from datetime import datetime
from pathlib import Path

import pytest

from tests.archive.archived_order import put_order
from tests.orders.an_order import an_order
from watcher.archive.partner import earlier_findings, made_before
from watcher.inbox.found import Earlier
from watcher.orders.model import ArtSource
from watcher.records.journal import Entry
from watcher.records.order_life import State
from watcher.terms import EarlierUse, Level, Side

MADE_AT = "2026-05-01T10:11:12+02:00"
MADE_S = datetime.fromisoformat(MADE_AT).timestamp()
DAY_S = 86_400
ENTRY = Entry(number=1, name="Spring", key="spring", card="tag", state=State.DONE, since=MADE_AT, folder="spring")
CAME = {"came_from": "held/spring", "kept_since": "2026-04-30T09:00:00+02:00", "came_as": "mended"}


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    """With an order whose back came with an earlier try, and whose front is common to all of its card."""
    art = [("front", "common-front.png", {}), ("back", "b.png", CAME)]
    told = [
        {"side": side, "file": file, "sha256": hashlib.sha256(file.encode()).hexdigest(), **more}
        for side, file, more in art
    ]
    put_order(tmp_path, "spring", name="Spring", due="2026-05-20", made_at=MADE_AT, art=told)
    for _, file, _ in art:
        (tmp_path / "spring" / file).write_text(file)
    return tmp_path


def test_its_own_art_is_offered_as_it_lies_in_the_archive(archive):
    before = made_before(("tag", "spring"), [ENTRY], archive, MADE_S + DAY_S)
    (piece,) = before.pieces
    assert (piece.side, piece.found.file.path) == (Side.BACK, archive / "spring/b.png")
    assert (piece.found.earlier.place, piece.found.earlier.use) == ("archive/spring", EarlierUse.AWAITED)
    assert piece.found.earlier.before.place == "held/spring"
    assert (before.group_key, before.ticket.wishes.quantity) == (("tag", "spring"), 10)
    assert before.ticket.wishes.due is None


def test_after_two_weeks_a_lone_side_is_another_order(archive):
    assert made_before(("", "spring"), [ENTRY], archive, MADE_S + 13.9 * DAY_S) is not None
    assert made_before(("", "spring"), [ENTRY], archive, MADE_S + 14.1 * DAY_S) is None


def test_art_that_was_altered_or_is_gone_is_not_offered(archive):
    (archive / "spring/b.png").write_text("another")
    assert made_before(("", "spring"), [ENTRY], archive, MADE_S) is None
    (archive / "spring/b.png").unlink()
    assert made_before(("", "spring"), [ENTRY], archive, MADE_S) is None
    assert made_before(("", "spring"), [], archive, MADE_S) is None


def test_an_order_all_of_whose_art_came_anew_waits_for_nothing(archive):
    ticket = archive / "spring/spring_ticket.toml"
    ticket.write_text("\n".join(line for line in ticket.read_text().splitlines() if not line.startswith("came_from")))
    assert "came_from" not in ticket.read_text()
    assert made_before(("", "spring"), [ENTRY], archive, MADE_S) is None


@pytest.mark.parametrize(
    ("use", "level"),
    [(EarlierUse.MENDED, Level.WARN), (EarlierUse.WANTED, Level.WARN), (EarlierUse.AWAITED, Level.NOTE)],
)
def test_where_the_sides_may_not_belong_together_it_is_a_warning(use, level):
    earlier = Earlier(place="held/spring", since=MADE_AT, use=use)
    back = ArtSource(side=Side.BACK, file="b.png", sha256="ab", earlier=earlier)
    (finding,) = earlier_findings(an_order(art=(ArtSource(side=Side.FRONT, file="a.png", sha256="cd"), back)))
    assert (finding.level, finding.side) == (level, Side.BACK)
    assert ("belong together?" in finding.message) is (level is Level.WARN)
