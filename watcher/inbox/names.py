"""Parse a file's name into order, side and quantity: `ORDER[_xQUANTITY]_SIDE.EXT`."""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

from watcher.inbox.file_names import compare_key, is_conflict_copy, is_temporary
from watcher.inbox.formats import ART, JOB_TICKET, ZIP, endings_of
from watcher.inbox.tidy import tidy_order_name
from watcher.records.plain_text import one_line
from watcher.terms import Side

__all__ = [
    "ART_KINDS",
    "CONTAINER",
    "MOST_CARDS",
    "TICKET",
    "NameParts",
    "SideWords",
    "is_conflict_copy",
    "is_temporary",
    "read_extension",
    "read_name",
    "split_number",
    "tidy_order_name",
]

ART_KINDS = endings_of(ART)
(CONTAINER,) = ZIP.endings
(TICKET,) = JOB_TICKET.endings
MOST_CARDS = 1_000_000

_GAPS = "_-."  # what stands, beside white space, before a side word or a quantity
_BROWSER_COPY = re.compile(r"\s?\(([1-9][0-9]{0,2})\)\Z")
_PIXEL_SCALE = re.compile(r"[\s_.\-]?@[0-9]{1,3}(?:\.[0-9]{1,3})?x\Z", re.IGNORECASE)
_QUANTITY = re.compile(r"x([0-9]+)\Z", re.IGNORECASE)
_PAGE_NUMBER = re.compile(r"0*[1-9][0-9]{0,3}")
_LAST_DIGITS = re.compile(r"[0-9]{1,9}\Z")


class SideWords(Protocol):
    """The words that say front and back (`settings.model.NameSettings`)."""

    @property
    def front(self) -> Sequence[str]:
        """Words for the front."""

    @property
    def back(self) -> Sequence[str]:
        """Words for the back."""


@dataclass(frozen=True, kw_only=True)
class NameParts:
    """What a file's name says.

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


def read_name(file_name: str, words: SideWords) -> NameParts:
    """Take a file's name apart, from its end.

    Before the ending a browser's ` (1)` and a pixel scale (`@2x`) count for nothing. Then, in either order, at most
    one side word and one quantity are taken, each after `_`, `-`, `.` or a space; what is left is the order. So
    `back-to-school_x50_front.png` is 50 cards of `back-to-school`, its front.

    Args:
        file_name: without folders; lone surrogates (names that are not UTF-8) are welcome.
        words: the side words; compared in any case and composition, and may hold spaces.
    """
    stem, copy = _without_copy(file_name.rpartition(".")[0] if "." in file_name else file_name)
    rest, side, digits, bare = _without_side_and_quantity(stem, _side_table(tuple(words.front), tuple(words.back)))
    order = rest.strip()
    page = int(order) if side is None and _PAGE_NUMBER.fullmatch(order) else None
    quantity, fault = _quantity(digits, file_name)
    if not order:
        fault = f"{one_line(file_name)} has no order name; name it ORDER_front or ORDER_back"
    return NameParts(
        order=order,
        key=compare_key(order),
        side=side,
        quantity=quantity,
        extension=read_extension(file_name),
        copy=copy,
        bare_side=bare,
        page_number=page,
        fault=fault,
    )


def read_extension(file_name: str) -> str:
    """A name's ending, lower case, without the dot; empty when there is none."""
    return file_name.rpartition(".")[2].strip().lower() if "." in file_name else ""


def split_number(order: str) -> tuple[str, int] | None:
    """An order's name less the number at its end, and that number: `spring_07` is design 7 of `spring`.

    Before the number stands `_`, `-`, `.` or a space. None where there is no such number, or nothing before it.
    """
    found = _LAST_DIGITS.search(order)
    if found is None or not _PAGE_NUMBER.fullmatch(found[0]):
        return None
    before = _before_gap(order[: found.start()])
    return (before, int(found[0])) if before else None


def _without_copy(stem: str) -> tuple[str, int | None]:
    """The stem less every browser's ` (1)` at its end, also behind or before a pixel scale."""
    copy = None
    while True:
        stem = _without_scale(stem.rstrip())
        found = _BROWSER_COPY.search(stem)
        if found is None or found.start() == 0:
            return stem, copy
        stem, copy = stem[: found.start()], int(found[1])


def _without_scale(text: str) -> str:
    found = _PIXEL_SCALE.search(text)
    return text[: found.start()] if found and found.start() > 0 else text


@lru_cache(maxsize=4)  # the same words for all names, many thousand times
def _side_table(front: tuple[str, ...], back: tuple[str, ...]) -> Mapping[str, Side]:
    table = {compare_key(word.strip()): Side.BACK for word in back}
    table.update({compare_key(word.strip()): Side.FRONT for word in front})
    table.pop("", None)
    return table


def _without_side_and_quantity(stem: str, table: Mapping[str, Side]) -> tuple[str, Side | None, str | None, bool]:
    """The stem less one side word and one quantity at its end; whether nothing but the side word was left."""
    side: Side | None = None
    digits: str | None = None
    rest = stem
    while True:
        if digits is None and (cut := _quantity_at_end(rest)) is not None:
            rest, digits = cut
        elif side is None and (found := _side_at_end(rest, table)) is not None:
            before, side = found
            if not before:
                return rest, side, digits, True
            rest = before
        else:
            return rest, side, digits, False
        rest = _without_scale(rest)


def _quantity_at_end(text: str) -> tuple[str, str] | None:
    """What stands before `_x50`, and its digits; None when there is no quantity behind a gap."""
    found = _QUANTITY.search(text)
    if found is None:
        return None
    before = _before_gap(text[: found.start()])
    return (before, found[1]) if before else None


def _side_at_end(text: str, table: Mapping[str, Side]) -> tuple[str, Side] | None:
    """What stands before the side word, empty when that is the whole text, and its side; the longest word wins."""
    # Taking a name apart and folding its case never make it shorter, so no longer tail can match.
    longest = max((len(unicodedata.normalize("NFD", word)) for word in table), default=0)
    for start in range(max(0, len(text) - longest), len(text)):
        before = _before_gap(text[:start]) if start else ""
        side = table.get(compare_key(text[start:])) if before is not None else None
        if before is not None and side is not None:
            return before, side
    return None


def _before_gap(text: str) -> str | None:
    """The text less the gap at its end; None when it ends without one."""
    end = len(text)
    while end and (text[end - 1] in _GAPS or text[end - 1].isspace()):
        end -= 1
    return text[:end] if end < len(text) else None


def _quantity(digits: str | None, file_name: str) -> tuple[int | None, str | None]:
    if digits is None:
        return None, None
    significant = digits.lstrip("0")
    if significant and len(significant) <= len(str(MOST_CARDS)) and int(significant) <= MOST_CARDS:
        return int(significant), None
    asked = significant[:12] or "0"
    return None, f"{one_line(file_name)} asks for {asked} cards; a quantity is 1 to {MOST_CARDS:,}, such as x50"
