"""Find the word in a name that says front or back: at its end, at its start, or between other words."""

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

from watcher.inbox.file_names import compare_key
from watcher.terms import Side

GAPS = "_-."  # what stands, beside white space, before a side word or a quantity
_WITHOUT_DOTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "å": "aa", "ø": "oe", "æ": "ae", "ł": "l"})
_OF = re.compile(r"(?:of|der|des|von|vom|zu|de|du|di|del|della|van|voor|för|til)[\s_.\-]+|(?:d|l|dell)['\u2019]", re.I)
_AND = r"(?:[\s_.\-]+(?:and|und|et|e|y|en|och|og|i)[\s_.\-]+|[\s_.\-]*[+&,][\s_.\-]*)"
_TOKEN = re.compile(r"[^\s_.\-]+")
_MOST_WORDS = 3  # of one side word
_LONGEST = 600  # signs of a name that are looked through for a word that is not at its end


class SideWords(Protocol):
    """The words that say front and back (`settings.names.NameSettings`)."""

    @property
    def front(self) -> Sequence[str]:
        """Words for the front."""

    @property
    def back(self) -> Sequence[str]:
        """Words for the back."""


@dataclass(frozen=True, kw_only=True)
class SideFound:
    """A side word in a name: the text without it, and its side."""

    rest: str
    side: Side


class SideTable:
    """The words of the settings, in every form in which people write them.

    Each counts in any case, with its accents apart or left out, and with `ue` for `ü`.

    Args:
        front, back: the words.
    """

    def __init__(self, front: tuple[str, ...], back: tuple[str, ...]) -> None:
        self._side_of: dict[str, Side] = {}
        for make in (_as_it_is, _without_accents, _written_out):
            forms = [(make(word), side) for side, words in ((Side.FRONT, front), (Side.BACK, back)) for word in words]
            for form, side in forms:
                self._side_of.setdefault(form, side)
        self._side_of.pop("", None)
        # Taking a name apart and folding its case never make it shorter, so no longer tail can match.
        self._longest = max((len(unicodedata.normalize("NFD", word)) for word in self._side_of), default=0)
        either = "|".join(map(re.escape, sorted(self._side_of)))
        pair = rf"(?:\A|(?<=[\s_.\-(\[]))(?P<one>{either}){_AND}(?P<other>{either})[)\]]?\Z"
        self._pair = re.compile(pair, re.IGNORECASE)

    def at_end(self, text: str) -> SideFound | None:
        """The word at the end, behind a gap or alone; the longest word wins."""
        for start in range(max(0, len(text) - self._longest), len(text)):
            before = before_gap(text[:start]) if start else ""
            side = self._side_of.get(compare_key(text[start:])) if before is not None else None
            if before is not None and side is not None:
                return SideFound(rest=before, side=side)
        return None

    def without_both(self, text: str) -> str | None:
        """The text before `front and back` at its end; None where that does not stand there."""
        tail = unicodedata.normalize("NFC", text[-3 * self._longest - 8 :])
        found = self._pair.search(tail) if self._longest else None
        if found is None:
            return None
        sides = {self._side_of.get(compare_key(found[word])) for word in ("one", "other")}
        if sides != {Side.FRONT, Side.BACK}:
            return None
        return (text[: max(0, len(text) - 3 * self._longest - 8)] + tail[: found.start()]).rstrip(GAPS + " ([")

    def anywhere(self, text: str) -> SideFound | None:
        """The only side word of a name that has none at its end: at its start (`Front of menu`), or between words.

        None where there is no such word, where there are several, or where nothing else is left.
        """
        found = list(self._words_in(text)) if len(text) <= _LONGEST else []
        if len(found) != 1:
            return None
        start, end, side = found[0]
        rest = without_part(text, start, end)
        rest = _OF.sub("", rest, count=1) if start == 0 and _OF.match(rest) else rest
        return SideFound(rest=rest, side=side) if rest.strip(GAPS + " ") else None

    def _words_in(self, text: str) -> Iterator[tuple[int, int, Side]]:
        tokens = [(found.start(), found.end()) for found in _TOKEN.finditer(text)]
        at = 0
        while at < len(tokens):
            for count in range(min(_MOST_WORDS, len(tokens) - at), 0, -1):
                start, end = tokens[at][0], tokens[at + count - 1][1]
                side = self._side_of.get(compare_key(text[start:end].strip("()[]")))
                if side is not None:
                    yield start, end, side
                    at += count - 1
                    break
            at += 1


@lru_cache(maxsize=4)  # the same words for all names, many thousand times
def side_table(front: tuple[str, ...], back: tuple[str, ...]) -> SideTable:
    """Give the table of these words."""
    return SideTable(front, back)


def _as_it_is(word: str) -> str:
    return compare_key(word.strip())


def _without_accents(word: str) -> str:
    apart = unicodedata.normalize("NFD", _as_it_is(word))
    return unicodedata.normalize("NFC", "".join(sign for sign in apart if not unicodedata.combining(sign)))


def _written_out(word: str) -> str:
    return _as_it_is(word).translate(_WITHOUT_DOTS)


def before_gap(text: str) -> str | None:
    """The text less the gap at its end; None when it ends without one."""
    end = len(text)
    while end and (text[end - 1] in GAPS or text[end - 1].isspace()):
        end -= 1
    return text[:end] if end < len(text) else None


def without_part(text: str, start: int, end: int) -> str:
    """A name less a part of it, with one gap where it was."""
    before, after = text[:start].rstrip(GAPS + " "), text[end:].lstrip(GAPS + " ")
    if not before or not after:
        return before or after
    gap = text[len(before) : start] if len(text[len(before) : start]) == 1 else text[end : end + 1]
    return f"{before}{gap or ' '}{after}"
