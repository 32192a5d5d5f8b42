"""Find a quantity in a name, as people write it: `x50`, `50x`, `×50`, `x 50`, `50 pcs`, `qty50`, `50 Stück`.

What looks like one and may be none is asked about, never guessed: `2x` at the end of a name may be the scale of an
export. No quantity are sizes (`5x7`), years, table numbers, versions, resolutions and pixel scales (`@2x`).
"""

import re
import unicodedata
from dataclasses import dataclass
from functools import cache

# Words that people write behind and before a number of cards; from memory.
_BEHIND = (
    "pcs pc pce pieces piece cards card copies copy ct stück stücke stk stck stueck karten exemplare exemplar expl ex"
    " exemplaires exemplaire pièces pièce cartes cartas unités piezas pza pzas uds unidades tarjetas copias ejemplares"
    " stuks stuk kaarten kaartjes exemplaren pezzi pz copie biglietti carte peças cópias cartões exemplares sztuk szt"
    " stycken kort kpl kusů ks db штуки штук шт 枚 张 張 份 部"
)
_BEFORE = (
    "qty quantity quant menge anzahl auflage stückzahl quantité qté cantidad cant aantal tirage tiraje quantidade qtd"
    " quantità ilość antal"
)
_LITTLE = 4  # `2x` up to here, behind a name, is what export programs call a scale


def _any_of(words: str) -> str:
    """A pattern for the words, longest first, composed, decomposed and without accents."""
    forms: set[str] = set()
    for word in words.split():
        apart = unicodedata.normalize("NFD", word)
        bare = "".join(sign for sign in apart if not unicodedata.combining(sign))
        forms |= {word, apart, bare} if word.isascii() or len(bare) > 1 else {word}
    return "|".join(map(re.escape, sorted(forms, key=lambda form: (-len(form), form))))


_GAP, _GAPS = r"[\s_.\-]", "_-. "
_X = "[x\u00d7\u2715\u0445]"  # also the sign for times, and the Cyrillic letter


def _count(name: str) -> str:
    return rf"(?P<{name}>[0-9]{{1,3}}(?:[.,'\u2019\u00a0\u202f][0-9]{{3}})+|[0-9]{{1,12}})"


_KINDS = ("said", "counted", "tight", "loose", "times")


@cache
def _any_form() -> re.Pattern[str]:
    """What may be a quantity; compiled when a name with a digit in it is first looked at."""
    unit = rf"(?:{_GAP}?(?:{_any_of(_BEHIND)})\.?)"
    forms = (
        rf"(?:{_any_of(_BEFORE)})\.?[\s_.\-=:]{{0,3}}{_count('said')}{unit}?",  # qty 50
        rf"{_X}?\s?{_count('counted')}{unit}",  # 50 pcs
        rf"{_count('tight')}{_X}",  # 50x
        rf"{_count('loose')}\s{{1,2}}{_X}",  # 50 x
        rf"{_X}(?P<space>\s{{0,2}}){_count('times')}",  # x50, x 50
    )
    return re.compile(rf"(?:\A|(?<=[\s_.\-]))[(\[]?(?:{'|'.join(forms)})[)\]]?(?={_GAP}|\Z)", re.IGNORECASE)


_SIZE_BEFORE = re.compile(rf"(?P<one>[0-9]+(?:[.,][0-9]+)?)\s?(?:in|cm|mm|[\"\u2033'])?{_GAP}*\Z", re.IGNORECASE)
_TIMES_BEFORE = re.compile(rf"[0-9](?:in|cm|mm|[\"\u2033'])?{_GAP}*{_X}{_GAP}*\Z", re.IGNORECASE)
_LOOSE_TIMES = re.compile(rf"{_X}\s", re.IGNORECASE)
_NUMBER_NEXT = re.compile(rf"{_GAP}*[0-9]")
_SIZE_NEXT = re.compile(rf"{_GAP}*(?:in|inch|inches|cm|mm|dpi|ppi|px|[\"\u2033])(?:{_GAP}|\Z)", re.IGNORECASE)
_OF_NEXT = re.compile(rf"{_GAP}+(?:of|de|von|van|di|da|des|du){_GAP}", re.IGNORECASE)
_DECIMAL_BEFORE = re.compile(r"(?<![^\W_])[0-9]+[.,]\Z")
_LONGEST = 600  # signs of a name that are looked through; the system's names are shorter


@dataclass(frozen=True, kw_only=True)
class QuantityWords:
    """A quantity in a text.

    Attributes:
        start, end: where it stands in the text.
        digits: as they are written, without separators.
        is_sure: whether it can be nothing else.
        is_of: whether it goes on as a title does: `3 pieces of cake`.
    """

    start: int
    end: int
    digits: str
    is_sure: bool
    is_of: bool = False


def find_quantities(text: str) -> list[QuantityWords]:
    """Find every quantity in a name, in the order in which they stand, with text left beside them."""
    if len(text) > _LONGEST or not any(sign.isdecimal() for sign in text):
        return []
    found, at = [], 0
    while match := _any_form().search(text, at):
        words = _judged(text, match)
        at = match.end() if words else match.start() + 1
        if words and _is_beside_text(text, words):
            found.append(words)
    certain = [words for words in found if words.is_sure]
    return certain or found


def _is_beside_text(text: str, words: QuantityWords) -> bool:
    return any(sign not in "_-.([)]" and not sign.isspace() for sign in text[: words.start] + text[words.end :])


def _judged(text: str, match: re.Match[str]) -> QuantityWords | None:
    """What looks like a quantity, judged by what stands around it; None when it is none."""
    groups = match.groupdict()
    kind = next(kind for kind in _KINDS if groups[kind] is not None)
    digits = re.sub(r"[^0-9]", "", groups[kind])
    before, after = text[: match.start()], text[match.end() :]
    if (kind != "times" and _DECIMAL_BEFORE.search(before)) or _SIZE_NEXT.match(after):
        return None
    sure, is_of = True, False
    if kind in ("said", "counted"):
        if _TIMES_BEFORE.search(before) or (_LOOSE_TIMES.match(match[0]) and _SIZE_BEFORE.search(before)):
            return None  # the second half of `5 x 7 cards`
        is_of = _OF_NEXT.match(after) is not None
        sure = not is_of
    elif kind == "tight":
        sure = int(digits) > _LITTLE or not before.strip(_GAPS)
    elif kind == "loose" and _NUMBER_NEXT.match(after):
        return None  # the first half of `5 x 7`; its second is judged by itself
    elif kind == "times" and groups["space"] and (size := _SIZE_BEFORE.search(before)):
        if _is_a_size(size["one"], digits):
            return None
        sure = False
    return QuantityWords(start=match.start(), end=match.end(), digits=digits, is_sure=sure, is_of=is_of)


def _is_a_size(one: str, other: str) -> bool:
    """Whether `5 x 7`, `148 x 210` are the lengths of a card: both small (inches, cm) or both large (mm)."""
    return (float(one.replace(",", ".")[:12]) > 30) == (float(other[:12]) > 30)
