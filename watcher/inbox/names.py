"""Parse the name of a file or folder, as people write it: order, side, quantity, due date."""

import re
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from watcher.inbox.file_names import compare_key, read_extension
from watcher.inbox.formats import ART_KINDS
from watcher.inbox.name_parts import PAGE_NUMBER, NameParts, written_name
from watcher.inbox.named_day import NamedDay, find_due
from watcher.inbox.quantity_words import QuantityWords, find_quantities
from watcher.inbox.side_words import SideTable, SideWords, before_gap, side_table, without_part
from watcher.records.plain_text import one_line
from watcher.settings.amounts import MOST_CARDS
from watcher.terms import Side

_LONGEST = 600  # signs of a name that are looked through for a date; the system's names are shorter
_TAIL = 8  # signs at the end of a name in which `now` stands, with the gap before it

_BROWSER_COPY = re.compile(r"\s?\(([1-9][0-9]{0,2})\)\Z")
_PIXEL_SCALE = re.compile(r"[\s_.\-]?@[0-9]{1,3}(?:\.[0-9]{1,3})?x\Z", re.IGNORECASE)
_QUANTITY = re.compile(r"[x\u00d7\u2715\u0445]([0-9]+)\Z", re.IGNORECASE)
_NOW = re.compile(r"(?<![^\s_.\-])now\Z", re.IGNORECASE)


def read_name(file_name: str, words: SideWords) -> NameParts:
    """Take a file's name apart.

    `due DATE` may stand anywhere. From the end are taken: a browser's ` (1)`, a pixel scale (`@2x`), a quantity, `now`
    and a side word, each after `_`, `-`, `.` or a space; a quantity that stands elsewhere is taken then. What is left
    is the order. So `back-to-school_x50_front.png` is 50 cards of `back-to-school`, its front. A name without a side
    word at its end may have one elsewhere (`Front of menu.png`): then the name without a side stays beside it.

    Args:
        file_name: without folders; lone surrogates (names that are not UTF-8) are welcome.
        words: the side words; compared in any case and composition, and may hold spaces.
    """
    stem = file_name.rpartition(".")[0] if "." in file_name else file_name
    return _parts(stem, read_extension(file_name), file_name, _Words(tuple(words.front), tuple(words.back)))


def read_folder_name(name: str, words: SideWords) -> NameParts:
    """Take the name of a folder apart, as that of a file; a dot in it begins no ending."""
    return _parts(name, "", name, _Words(tuple(words.front), tuple(words.back)))


class _Words(NamedTuple):
    """Side words that a cache can tell apart."""

    front: tuple[str, ...]
    back: tuple[str, ...]


@lru_cache(maxsize=20_000)  # the same names at every reading of the inbox, several times each
def _parts(stem: str, extension: str, whole: str, words: _Words) -> NameParts:
    table = side_table(words.front, words.back)
    read = _Reading(stem, table)
    read.take()
    order = read.rest.strip()
    page = int(order) if read.side is None and PAGE_NUMBER.fullmatch(order) else None
    plain = NameParts(
        order=order,
        key=compare_key(order),
        side=read.side,
        quantity=None,
        extension=extension,
        copy=read.copy,
        bare_side=read.is_bare,
        page_number=page,
        due=read.due,
        now=read.now,
    )
    quantity, fault = _quantity(read.digits, plain, one_line(whole), words)
    fault = fault or read.why_not_clear(one_line(whole), plain, words)
    if not order:
        fault = f"{one_line(whole)} has no order name; name it ORDER_front or ORDER_back"
    plain = replace(plain, quantity=quantity, fault=fault)
    elsewhere = table.anywhere(order) if read.side is None and not read.says_both else None
    if elsewhere is None:
        return plain
    order = elsewhere.rest.strip()
    return replace(plain, order=order, key=compare_key(order), side=elsewhere.side, page_number=None, plain=plain)


class _Reading:
    """Takes a name apart, piece by piece."""

    def __init__(self, stem: str, table: SideTable) -> None:
        self._table = table
        self.rest = stem
        self.copy: int | None = None
        self.side: Side | None = None
        self.is_bare = self.says_both = self.now = False
        self.digits: list[str] = []  # of each quantity
        self.doubtful: QuantityWords | None = None  # what may be a quantity, or not
        self._doubtful_says = self._as_title = ""
        self.due: NamedDay | None = None
        self._no_day: str | None = None

    def take(self) -> None:
        self._take_noise()
        self._take_due()
        while self._take_from_end():
            pass
        if not self.is_bare:
            self._take_quantities()

    def _take_noise(self) -> None:
        """Take a browser's ` (1)` at the end, also behind or before a pixel scale; and an ending that stands twice."""
        before, _, ending = self.rest.rpartition(".")
        self.rest = before if before.strip() and ending.lower() in ART_KINDS else self.rest
        while True:
            self.rest = _without_scale(self.rest.rstrip())
            found = _BROWSER_COPY.search(self.rest)
            if found is None or found.start() == 0:
                return
            self.rest, self.copy = self.rest[: found.start()], int(found[1])

    def _take_due(self) -> None:
        found = find_due(self.rest) if len(self.rest) <= _LONGEST else None
        if found is None or not without_part(self.rest, found.start, found.end):
            return
        self.due, self._no_day = found.day, None if found.day else one_line(found.says)
        self.rest = without_part(self.rest, found.start, found.end)

    def _take_from_end(self) -> bool:
        if (cut := _quantity_at_end(self.rest)) is not None:
            self.rest = cut[0]
            self.digits.append(cut[1])
        elif (word := _NOW.search(self.rest[-_TAIL:])) and (before := before_gap(self.rest[: -len(word[0])])):
            self.rest, self.now = before, True
        elif self._take_side() or self._take_last_quantity():
            pass
        else:
            return False
        self.rest = _without_scale(self.rest)
        return not self.is_bare

    def _take_side(self) -> bool:
        if self.side is not None or self.says_both:
            return False
        before = self._table.without_both(self.rest)
        if before is not None:
            self.says_both, self.is_bare = True, not before
            self.rest = before or self.rest
            return True
        found = self._table.at_end(self.rest)
        if found is not None:
            self.side, self.is_bare = found.side, not found.rest
            self.rest = found.rest or self.rest
        return found is not None

    def _take_last_quantity(self) -> bool:
        """Take a quantity that is written in another way than `x50`."""
        found = find_quantities(self.rest)
        if not found or not found[-1].is_sure or found[-1].end < len(self.rest.rstrip()):
            return False
        self.digits.append(found[-1].digits)
        self.rest = without_part(self.rest, found[-1].start, found[-1].end)
        return True

    def _take_quantities(self) -> None:
        """Take the quantities that stand elsewhere; one that may be none counts only where there is no other."""
        for words in reversed(find_quantities(self.rest)):
            if not words.is_sure and self.digits:
                continue
            without = without_part(self.rest, words.start, words.end)
            if words.is_sure:
                self.digits.append(words.digits)
            else:
                self.doubtful = words
                self._doubtful_says = one_line(self.rest[words.start : words.end])
                self._as_title = self.rest if words.is_of else without
            self.rest = without

    def why_not_clear(self, shown: str, parts: NameParts, words: SideWords) -> str | None:
        """Say what in the name cannot be read for sure, with the names that would settle it; None when all is clear."""
        if self._no_day is not None:
            return f"{shown} says {self._no_day}, which is no day; write it as due 24 Dec, or as due 2026-12-24"
        if self.doubtful is not None:
            digits = self.doubtful.digits.lstrip("0") or "1"
            title = replace(parts, order=self._as_title.strip())
            return (
                f"{shown} says {self._doubtful_says}, which may be a quantity or not; name it"
                f" {written_name(parts, words, quantity=digits)} for {digits} cards; when it is no quantity, name it"
                f" {written_name(title, words, quantity=1)}, with the number of cards behind the x"
            )
        return None


def _without_scale(text: str) -> str:
    found = _PIXEL_SCALE.search(text)
    return text[: found.start()] if found and found.start() > 0 else text


def _quantity_at_end(text: str) -> tuple[str, str] | None:
    """What stands before `_x50`, and its digits; None when there is no quantity behind a gap."""
    found = _QUANTITY.search(text)
    if found is None:
        return None
    before = before_gap(text[: found.start()])
    return (before, found[1]) if before else None


def _quantity(asked: list[str], parts: NameParts, shown: str, words: SideWords) -> tuple[int | None, str | None]:
    """The quantity that is asked for; two that differ, or one that is none, are a fault."""
    numbers = sorted({digits.lstrip("0") for digits in asked}, key=lambda number: (len(number), number))
    if not numbers:
        return None, None
    wrong = next((number for number in numbers if not _is_possible(number)), None)
    if wrong is not None:
        said = wrong[:12] or "0"
        return None, f"{shown} asks for {said} cards; a quantity is 1 to {MOST_CARDS:,}, such as x50"
    if len(numbers) > 1:
        named = " or ".join(written_name(parts, words, quantity=number) for number in numbers)
        return None, f"{shown} says two quantities, {' and '.join(numbers)}; name it {named}"
    return int(numbers[0]), None


def _is_possible(number: str) -> bool:
    return bool(number) and len(number) <= len(str(MOST_CARDS)) and int(number) <= MOST_CARDS
