"""What the name of a file or folder says, and such a name written for people to follow."""

import re
from dataclasses import dataclass

from watcher.inbox.named_day import NamedDay
from watcher.inbox.side_words import SideWords, before_gap
from watcher.records.plain_text import one_line
from watcher.terms import Side

PAGE_NUMBER = re.compile(r"0*[1-9][0-9]{0,3}")
_LAST_DIGITS = re.compile(r"[0-9]{1,9}\Z")


@dataclass(frozen=True, kw_only=True)
class NameParts:
    """What a name says.

    Attributes:
        order: the order's name as it was written; the whole of it when the name is only a side word or a number.
        key: the form of `order` that is compared.
        side: the face it is for, or None.
        quantity: cards wanted, or None.
        extension: lower case, without the dot; empty when there is none.
        copy: the number that a browser put before the ending because the name was taken, or None.
        bare_side: the name is a side word and nothing else (`front.png`).
        page_number: the name is a number and nothing else (`1.png`, `02.png`): that number; else None.
        fault: why the name cannot be used, as a plain sentence without a full stop; None when it can.
        due: the day on which the cards are needed, or None.
        now: it goes before all others.
        plain: the same name without a side, where the side word does not stand at its end (`back-to-school`): which
            of the two is meant, what lies beside it tells.
    """

    order: str
    key: str
    side: Side | None
    quantity: int | None
    extension: str
    copy: int | None = None
    bare_side: bool = False
    page_number: int | None = None
    fault: str | None = None
    due: NamedDay | None = None
    now: bool = False
    plain: "NameParts | None" = None

    @property
    def at_its_end(self) -> "NameParts":
        """The name read so that a side word counts at its end alone."""
        return self.plain or self


def written_name(
    parts: NameParts, words: SideWords, *, side: Side | None = None, quantity: str | int | None = None
) -> str:
    """Write a name that says for sure what `parts` says, for people to follow; with a space in it, in quotes.

    Args:
        parts: the order, and the ending.
        words: the side words.
        side: in place of that of `parts`.
        quantity: in place of none.
    """
    side = side or parts.side
    word = {Side.FRONT: words.front, Side.BACK: words.back}[side][0] if side else None
    pieces = [parts.order, f"x{quantity}" if quantity else None, word]
    ending = f".{parts.extension}" if parts.extension else ""
    name = one_line("_".join(piece for piece in pieces if piece)) + ending
    return f'"{name}"' if " " in name else name


def split_number(order: str) -> tuple[str, int] | None:
    """An order's name less the number at its end, and that number: `spring_07` is design 7 of `spring`.

    Before the number stands `_`, `-`, `.` or a space. None where there is no such number, or nothing before it.
    """
    found = _LAST_DIGITS.search(order)
    if found is None or not PAGE_NUMBER.fullmatch(found[0]):
        return None
    before = before_gap(order[: found.start()])
    return (before, int(found[0])) if before else None
