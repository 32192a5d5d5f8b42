"""Combine new art with the earlier art of the same order that lies in `held` or in the archive.

Newer art takes the place of earlier art for the same side of the same design, whatever the ending of its name. Earlier
art fills what is left; when newer art for it may still be on its way, the order says what it waits for.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from watcher.inbox.found import Found
from watcher.inbox.scan import SeenFile
from watcher.orders.model import GroupKey, Piece, Planned, Ticket, design_numbers, show_numbers
from watcher.terms import EarlierUse

Attempt = Callable[[Sequence[Found]], Planned]  # puts finds together as one order


@dataclass(frozen=True, kw_only=True)
class MadeBefore:
    """An order in the archive for which a partner may still come.

    Attributes:
        name, key, folder: as in `Planned`.
        pieces: its art, where it lies.
        ticket: what it was made as.
    """

    name: str
    key: str
    folder: str | None
    pieces: tuple[Piece, ...]
    ticket: Ticket

    @property
    def group_key(self) -> GroupKey:
        """The key by which the inbox would group it."""
        return (self.folder or "").casefold(), self.key


def supersede(
    newer: Sequence[Piece], earlier: Sequence[Piece], read: Callable[[Found], bytes]
) -> tuple[list[Piece], list[Piece]]:
    """Split earlier art into what is still wanted and what newer art replaces.

    When nothing would be left of a folder that was moved back into the inbox, all of it is kept: two versions of
    everything are there, and which is meant cannot be known. Of such a folder copies of the newer art are kept too.
    """
    places = {(piece.design, piece.side): piece for piece in newer}
    kept = [piece for piece in earlier if (piece.design, piece.side) not in places]
    dropped = [piece for piece in earlier if (piece.design, piece.side) in places]
    moved_back = [piece for piece in dropped if _use(piece.found) is EarlierUse.WANTED]
    if moved_back and not kept:
        return list(earlier), []
    same = [piece for piece in moved_back if _is_same(places[piece.design, piece.side], piece, read)]
    return [*kept, *same], [piece for piece in dropped if piece not in same]


def _is_same(one: Piece, other: Piece, read: Callable[[Found], bytes]) -> bool:
    return one.page == other.page and read(one.found) == read(other.found)


def with_earlier(newer: Sequence[Found], earlier: Sequence[Found], attempt: Attempt) -> Planned:
    """Plan an order from newer files and those of an earlier try.

    Args:
        newer: what lies in the inbox.
        earlier: what came before.
        attempt: puts both together by `supersede`.
    """
    if any(_use(found) is EarlierUse.WANTED for found in earlier):
        return attempt([*newer, *earlier])
    tickets = [] if any(found.is_ticket for found in newer) else [found for found in earlier if found.is_ticket]
    alone = attempt([*newer, *tickets])
    if alone.fault and tickets and not attempt(newer).fault:
        return _with_faulty_ticket(newer, earlier, attempt)
    if alone.fault or alone.arriving or not (alone.missing or alone.open_ended):
        return alone
    both = attempt([*newer, *earlier])
    if both.fault:
        is_awaited = any(_use(found) is EarlierUse.AWAITED for found in earlier)
        return both if is_awaited else alone
    if all(piece.found.is_newer for piece in both.pieces):
        return alone
    return replace(both, waits_for=_what_may_come(both))


def with_made(newer: Sequence[Found], attempt: Attempt) -> Planned | None:
    """Complete a lone side with the art of an archived order that was made without waiting for it any longer.

    Returns:
        None when the archived order did not wait for it.
    """
    both = attempt(newer)
    if both.fault or both.arriving or not any(_is_leftover(found) for found in both.superseded):
        return None
    return replace(both, waits_for=_what_may_come(both)) if both.earlier_pieces else None


def _with_faulty_ticket(newer: Sequence[Found], earlier: Sequence[Found], attempt: Attempt) -> Planned:
    """Mended art whose job ticket, which came before, has a fault: a new ticket may still come."""
    names = {(found.parts.key, found.parts.side) for found in newer}
    kept = [found for found in earlier if found.is_ticket or (found.parts.key, found.parts.side) not in names]
    return replace(attempt([*newer, *kept]), waits_for="a mended job ticket")


def _what_may_come(plan: Planned) -> str | None:
    """The newer art that may still come, for people; None when what is there may be used at once."""
    dropped = [found for found in plan.superseded if not found.is_ticket]
    is_mended = any(_use(piece.found) is EarlierUse.MENDED for piece in plan.earlier_pieces)
    waits = any(not _is_leftover(found) for found in dropped) if dropped else is_mended
    if not waits or not plan.earlier_pieces:
        return None
    return _new(plan.earlier_pieces, several=len(design_numbers(plan.pieces)) > 1)


def _new(pieces: Sequence[Piece], *, several: bool) -> str:
    if not several:
        return "a new " + " and ".join(sorted({str(piece.side) for piece in pieces}, reverse=True))
    numbers = design_numbers(pieces)
    if len(numbers) == 1:
        sides = " and ".join(sorted({str(piece.side) for piece in pieces}, reverse=True))
        return f"a new {sides} of design {numbers[0]}"
    return f"new art for the designs {show_numbers(numbers)}"


def newer_files(plan: Planned) -> tuple[SeenFile, ...]:
    """The files of an order that did not come with an earlier try at it."""
    founds = (*(piece.found for piece in plan.pieces), *plan.beside)
    earlier = {found.file.path for found in founds if not found.is_newer}
    return tuple(file for file in plan.files if file.path not in earlier)


def _use(found: Found) -> EarlierUse | None:
    return found.earlier.use if found.earlier else None


def _is_leftover(found: Found) -> bool:
    return found.earlier is not None and found.earlier.before is not None
