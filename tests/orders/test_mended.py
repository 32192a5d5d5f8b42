"""Newer art takes the place of earlier art for its side, and earlier art fills what is left."""

from pathlib import Path

import pytest

from watcher.inbox.found import Earlier, Found
from watcher.inbox.name_parts import NameParts
from watcher.inbox.scan import Identity, SeenFile
from watcher.orders.mended import newer_files, supersede, with_earlier, with_made
from watcher.orders.model import Piece, Planned
from watcher.terms import EarlierUse, Side

FRONT, BACK = Side.FRONT, Side.BACK
KEPT = Earlier(place="held/spring", since="2026-05-01T10:00:00", use=EarlierUse.MENDED)


def art(side: Side, use: EarlierUse | None = None, *, content: int = 0, before: Earlier | None = None) -> Found:
    """A find; `content` stands for its bytes."""
    path = Path("held" if use else "inbox") / f"spring_{side}.png"
    identity = Identity(device=0, inode=0, size=content, mtime_ns=0, ctime_ns=0)
    earlier = Earlier(place="held/spring", since="2026-05-01T10:00:00", use=use, before=before) if use else None
    parts = NameParts(order="spring", key="spring", side=side, quantity=None, extension="png")
    return Found(file=SeenFile(path=path, folder=None, name=path.name, identity=identity), parts=parts, earlier=earlier)


def pieces(*founds: Found) -> list[Piece]:
    return [Piece(side=found.parts.side, found=found) for found in founds]


def read(found: Found) -> bytes:
    return bytes([found.file.identity.size])


def attempt(founds) -> Planned:
    """An order of a front and a back."""
    newer = pieces(*(found for found in founds if found.is_newer))
    kept, dropped = supersede(newer, pieces(*(found for found in founds if not found.is_newer)), read)
    missing = next((str(side) for side in Side if side not in {piece.side for piece in [*newer, *kept]}), None)
    return Planned(
        name="spring",
        key="spring",
        folder=None,
        pieces=(*newer, *kept),
        missing=missing,
        superseded=tuple(piece.found for piece in dropped),
    )


def test_of_a_folder_moved_back_copies_are_kept_and_of_two_whole_versions_both():
    wanted = pieces(art(FRONT, EarlierUse.WANTED, content=1), art(BACK, EarlierUse.WANTED))
    kept, dropped = supersede(pieces(art(FRONT, content=2)), wanted, read)
    assert (kept, dropped) == ([wanted[1]], [wanted[0]])
    kept, dropped = supersede(pieces(art(FRONT, content=1)), wanted, read)
    assert (kept, dropped) == ([wanted[1], wanted[0]], [])
    assert supersede(pieces(art(FRONT, content=2), art(BACK)), wanted, read) == (wanted, [])


@pytest.mark.parametrize(
    ("use", "waits_for"),
    [(EarlierUse.MENDED, "a new back"), (EarlierUse.AWAITED, None), (EarlierUse.WANTED, None)],
)
def test_a_lone_mended_side_waits_for_the_other_before_the_earlier_one_is_used(use, waits_for):
    plan = with_earlier([art(FRONT)], [art(BACK, use)], attempt)
    assert (plan.waits_for, plan.missing) == (waits_for, None)
    assert [piece.side for piece in plan.earlier_pieces] == [BACK]
    assert [file.name for file in newer_files(plan)] == ["spring_front.png"]


def test_what_is_complete_without_earlier_art_is_made_without_it():
    plan = with_earlier([art(FRONT), art(BACK)], [art(BACK, EarlierUse.MENDED)], attempt)
    assert (plan.missing, plan.waits_for, plan.earlier_pieces, plan.superseded) == (None, None, (), ())


def test_a_late_side_goes_with_an_archived_order_only_where_that_had_not_waited_for_it():
    new, front = art(BACK), art(FRONT, EarlierUse.AWAITED)
    leftover = art(BACK, EarlierUse.AWAITED, before=KEPT)
    plan = with_made([new, front, leftover], attempt)
    assert [piece.found for piece in plan.pieces] == [new, front]
    assert plan.waits_for is None
    assert with_made([new, front, art(BACK, EarlierUse.AWAITED)], attempt) is None
