"""Parse readings as people type them: `1: +0.8 -0.5`, or on the command line `1:+0.8,-0.5`; millimetres."""

import re
from collections.abc import Sequence
from fractions import Fraction

from watcher.align.register.target import Target
from watcher.errors import WrongUsage
from watcher.layout.register.readings import Reading

MOST_READING_MM = 10  # the scales reach to 5; a ruler may go on
MOST_SHEETS = 50
_NUMBER = r"[+-]?(?:[0-9]{1,4}(?:\.[0-9]{1,6})?|\.[0-9]{1,6})"
_PAIR = re.compile(rf"({_NUMBER}) ?(?:mm)?(?: ?[,;] ?| )({_NUMBER}) ?(?:mm)?")
_MARKED = re.compile(r"(?:([0-9]{1,3}) ?/ ?)?([0-9]{1,3}) ?: ?(.*)")
PAIR_WANTED = "two numbers in mm, right then up, such as +0.8 -0.5"
_WITH_COMMA = r"[+-]?[0-9]{1,4},[0-9]{1,6}"
_COMMA_PAIR = re.compile(
    rf"({_WITH_COMMA}) ?(?:mm)?(?: ?[,;] ?| )({_WITH_COMMA}) ?(?:mm)?"
    rf"|({_WITH_COMMA}) ?(?:mm)?(?: ?; ?| )({_NUMBER}) ?(?:mm)?"
    rf"|({_NUMBER}) ?(?:mm)?(?: ?; ?| )({_WITH_COMMA}) ?(?:mm)?"
)


def parse_pair(text: str) -> tuple[Fraction, Fraction]:
    """Parse two numbers: right and up, mm. A comma before the decimals is read where it can be nothing else.

    Raises:
        WrongUsage: it is not two numbers, or more than a scale can show.
    """
    plain = " ".join(text.replace("\N{MINUS SIGN}", "-").split())
    with_commas = _COMMA_PAIR.fullmatch(plain)
    if with_commas:
        plain = " ".join(number.replace(",", ".") for number in with_commas.groups() if number)
    match = _PAIR.fullmatch(plain)
    if match is None:
        raise WrongUsage(f'"{text.strip()[:40]}" is no reading; write {PAIR_WANTED}.')
    right, up = Fraction(match[1]), Fraction(match[2])
    if max(abs(right), abs(up)) > MOST_READING_MM:
        raise WrongUsage(
            f'"{text.strip()}" is more than {MOST_READING_MM} mm; if the back truly lies that far off, something else '
            "is wrong: was it printed at actual size, and is the turning right?"
        )
    return right, up


def parse_readings(texts: Sequence[str], target: Target) -> list[list[Reading]]:
    """Parse the readings of each sheet from options such as `1:+0.8,+0.5`, or `2/1:+0.7,+0.4` for mark 1 of sheet 2.

    A mark that is given again without the number of a sheet is of the next sheet.

    Raises:
        WrongUsage: one of them cannot be read, or a mark is given twice for one sheet.
    """
    sheets: dict[int, dict[int, Reading]] = {}
    for text in texts:
        match = _MARKED.fullmatch(text.strip())
        if match is None:
            raise WrongUsage(f'"{text[:40]}" is no reading; write the mark, then {PAIR_WANTED}: 1:+0.8,-0.5.')
        mark = target.mark(int(match[2]))
        right, up = parse_pair(match[3])
        sheet = (
            int(match[1]) if match[1] else 1 + max((s for s, read in sheets.items() if mark.number in read), default=0)
        )
        if not 1 <= sheet <= MOST_SHEETS:
            raise WrongUsage(f'"{text[:40]}" names sheet {sheet}; use 1 to {MOST_SHEETS}.')
        if mark.number in sheets.setdefault(sheet, {}):
            raise WrongUsage(f"Mark {mark.number} of sheet {sheet} is given twice.")
        sheets[sheet][mark.number] = Reading(mark=mark.number, place=mark.back, right=right, up=up)
    return [list(sheets[sheet].values()) for sheet in sorted(sheets)]
