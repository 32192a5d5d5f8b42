"""Standard sizes of sheets, cards and envelopes by name, and the few names that mean two things.

Sources: PWG 5101.1 (media names, whose tail states the size), ISO 216 (A, B), ISO 217 (RA, SRA), ISO 269 (C, DL),
ISO/IEC 7810 (ID-1, which PWG rounds); others as noted. All are exact: no size here was ever rounded to points.
"""

import difflib
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from watcher.layout.geometry import Size
from watcher.units import inches_to_mm, mm_to_inches, show_mm


@dataclass(frozen=True)
class Paper:
    """One standard size, width x height as it is read.

    Attributes:
        name: the plain name.
        pwg: its name in PWG 5101.1, or None.
        size: mm.
        inches: whether it is an inch size.
        also: other names people use.
    """

    name: str
    pwg: str | None
    size: Size
    inches: bool
    also: tuple[str, ...] = ()


def _mm(name: str, pwg: str | None, width: str, height: str, *also: str) -> Paper:
    return Paper(name, pwg, Size(Fraction(width), Fraction(height)), False, also)


def _inch(name: str, pwg: str | None, width: str, height: str, *also: str) -> Paper:
    size = Size(inches_to_mm(Fraction(width)), inches_to_mm(Fraction(height)))
    return Paper(name, pwg, size, True, also)


def _iso(series: str, *sides: int) -> tuple[Paper, ...]:
    """An ISO series from its lengths, longest first: each size's width is the next one's height."""
    pairs = [(min(a, b), max(a, b)) for a, b in zip(sides, sides[1:], strict=False)]
    return tuple(
        _mm(f"{series}{n}", f"iso_{series.lower()}{n}_{width}x{height}mm", str(width), str(height), f"ISO {series}{n}")
        for n, (width, height) in enumerate(pairs)
    )


PAPERS: tuple[Paper, ...] = (
    *_iso("A", 1189, 841, 594, 420, 297, 210, 148, 105, 74, 52, 37, 26),  # ISO 216
    *_iso("B", 1414, 1000, 707, 500, 353, 250, 176, 125, 88, 62, 44, 31),  # ISO 216
    *_iso("C", 1297, 917, 648, 458, 324, 229, 162, 114, 81, 57, 40, 28),  # ISO 269
    _mm("RA4", "iso_ra4_215x305mm", "215", "305", "ISO RA4"),  # ISO 217, so are the next
    _mm("RA3", "iso_ra3_305x430mm", "305", "430", "ISO RA3"),
    _mm("RA2", "iso_ra2_430x610mm", "430", "610", "ISO RA2"),
    _mm("SRA4", "iso_sra4_225x320mm", "225", "320", "ISO SRA4"),
    _mm("SRA3", "iso_sra3_320x450mm", "320", "450", "ISO SRA3"),
    _mm("SRA2", "iso_sra2_450x640mm", "450", "640", "ISO SRA2"),
    _mm("DL", "iso_dl_110x220mm", "110", "220", "ISO DL", "DL envelope"),  # ISO 269
    _mm("DL card", None, "99", "210"),  # a third of A4, common practice
    _mm("EU business card", "om_business-card_55x85mm", "85", "55"),
    _mm("ID-1", None, "85.60", "53.98", "CR80"),  # ISO/IEC 7810; the millimetres are the definition, never 3.37 in
    _inch("letter", "na_letter_8.5x11in", "8.5", "11", "US letter"),
    _inch("legal", "na_legal_8.5x14in", "8.5", "14", "US legal"),
    _inch("tabloid", "na_ledger_11x17in", "11", "17", "11 x 17"),
    _inch("12 x 18", "na_arch-b_12x18in", "12", "18", "arch B"),
    _inch("13 x 19", "na_super-b_13x19in", "13", "19", "super B"),
    _inch("half letter", "na_invoice_5.5x8.5in", "5.5", "8.5", "statement"),
    _inch("US business card", "oe_business-card_2x3.5in", "3.5", "2"),
    _inch("US postcard", "na_index-4x6_4x6in", "4", "6"),
    _inch("A2 envelope", "na_a2_4.375x5.75in", "4.375", "5.75"),
    _inch("A1 envelope", None, "3.625", "5.125", "4-bar envelope"),  # envelope makers' pages, so are the next
    _inch("A6 envelope", None, "4.75", "6.5"),
    _inch("A7 envelope", None, "5.25", "7.25"),
    _inch("A9 envelope", None, "5.75", "8.75"),
    _inch("A1 note card", None, "3.5", "4.875"),  # from memory; the A2 rule: envelope less 1/8 and 1/4 in
    _inch("A2 note card", None, "4.25", "5.5"),  # envelope makers' pages
    _inch("A6 note card", None, "4.5", "6.25"),  # from memory; makers' pages differ
    _inch("A7 note card", "na_5x7_5x7in", "5", "7"),  # envelope makers' pages
)

_NOTE_CARDS = ("a1", "a2", "a6", "a7")  # ISO sheets, and the cards that go into the envelopes of these names
_LYING = re.compile(r"^(?P<name>.+) (?P<way>landscape|portrait)$")


def find_paper(name: str) -> Size:
    """The size of a standard name. Case does not matter, `-` and `_` are spaces, `landscape` or `portrait` may follow.

    Raises:
        ValueError: no such name; the near ones are listed.
    """
    base, way = _apart(name)
    paper = _BY_NAME.get(base)
    if paper is None:
        raise ValueError(_unknown(base))
    short, long = sorted((paper.size.width, paper.size.height))
    return {"landscape": Size(long, short), "portrait": Size(short, long)}.get(way, paper.size)


def is_paper_name(name: str) -> bool:
    """Whether `find_paper` knows the name."""
    return _apart(name)[0] in _BY_NAME


def ambiguous_on_inch_paper(name: str) -> str | None:
    """What to write instead of a bare `A1`, `A2`, `A6` or `A7` for a card on inch paper; None for any other name.

    There the name is the ISO sheet and the note card for the envelope of that name, and both are in use.
    """
    base, way = _apart(name)
    if base not in _NOTE_CARDS:
        return None
    iso, card = (find_paper(f"{full} {way}") for full in (f"iso {base}", f"{base} note card"))
    inches = f"{show_mm(mm_to_inches(card.width), 3)} x {show_mm(mm_to_inches(card.height), 3)} in"
    bare, behind = base.upper(), f" {way}" if way == "landscape" else ""
    return (
        f"on inch paper this may be ISO {bare}, {_in_mm(iso)}, "
        f"or the note card for an {bare} envelope, {_in_mm(card)}; "
        f'write "ISO {bare}{behind}" or "{inches}"'
    )


def is_inch_paper(size: Size) -> bool:
    """Whether a size is, either way round, that of an inch paper."""
    return any(paper.inches and size in (paper.size, Size(paper.size.height, paper.size.width)) for paper in PAPERS)


def paper_name(size: Size, within_mm: Fraction = Fraction(0)) -> str | None:
    """The name we have for a sheet, whichever way it lies; None where no paper is within so many mm of it."""
    sides = sorted((size.width, size.height))
    for paper in PAPERS:
        its = sorted((paper.size.width, paper.size.height))
        if all(abs(one - other) <= within_mm for one, other in zip(sides, its, strict=True)):
            return paper.name
    return None


def media_name(size: Size) -> str:
    """The self-describing name of a sheet's size (PWG 5101.1 section 5): the short side first, whichever way it lies.

    A size that has no name of its own is called `custom`, in inches where it comes to whole thousandths of one.
    """
    short, long = sorted((size.width, size.height))
    for paper in PAPERS:
        if paper.pwg is not None and (short, long) == tuple(sorted((paper.size.width, paper.size.height))):
            return paper.pwg
    inches = tuple(mm_to_inches(side) for side in (short, long))
    if all((1000 * side).denominator == 1 for side in inches) and not _is_whole_mm(short, long):
        sides = "x".join(show_mm(side, 3) for side in inches) + "in"
    else:
        sides = f"{show_mm(short, 2)}x{show_mm(long, 2)}mm"
    return f"custom_{sides}_{sides}"


def _is_whole_mm(*sides: Fraction) -> bool:
    return all(side.denominator == 1 for side in sides)


def _apart(name: str) -> tuple[str, str]:
    """A name in the form in which it is compared, and `landscape`, `portrait` or nothing."""
    plain = " ".join(unicodedata.normalize("NFKC", name).casefold().replace("_", " ").replace("-", " ").split())
    plain = re.sub(r"(?<=[0-9]) ?[x×] ?(?=[0-9])", " x ", plain)
    lying = _LYING.match(plain)
    return (lying["name"], lying["way"]) if lying else (plain, "")


def _unknown(base: str) -> str:
    """The second half of the fault of an unknown name: what would be right."""
    keys = difflib.get_close_matches(base, _SHOWN, n=4, cutoff=0.5)
    near = " or ".join(f'"{name}"' for name in dict.fromkeys(_BY_NAME[key].name for key in keys))
    return f'no paper has this name; use {near + ", or " if near else ""}width x height such as "127 x 177.8 mm"'


def _in_mm(size: Size) -> str:
    return f"{show_mm(size.width, 3)} x {show_mm(size.height, 3)} mm"


_BY_NAME = {_apart(name)[0]: paper for paper in PAPERS for name in (paper.name, *paper.also, paper.pwg) if name}
_SHOWN = [_apart(name)[0] for paper in PAPERS for name in (paper.name, *paper.also)]
