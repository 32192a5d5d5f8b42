"""Parse lengths, sizes, durations and other values as people write them, exactly.

Every parser raises ValueError with half a sentence that says what would be right, so that a caller can put the key
and the value before it: `sheets.letter.gutter is "-2 mm"; use 0 or more`.
"""

import re
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from watcher.layout.geometry import Size
from watcher.settings.faults import WrittenNumber
from watcher.settings.papers import find_paper, is_inch_paper, is_paper_name
from watcher.units import Length, in_unit_of, inches_to_mm, points_to_mm, show_mm

HIGHEST_PRICE = 1_000_000
LONGEST_MM = Fraction(5000)  # the longest thing a printed card or its paper could be
LONGEST_S = 100 * 365 * 86_400
LEAST_KEPT_S = 30 * 86_400
SMALLEST_CARD_MM, LONGEST_CARD_MM = Fraction(20), Fraction(600)  # of a side; common practice, no source
LEAST_SMALL_MM, MOST_SMALL_MM = Fraction(1, 2), Fraction(30)  # of bleed, safe zone and rim
SMALLEST_SHEET_MM, LONGEST_SHEET_MM = Fraction(70), Fraction(1600)
LONGEST_TEXT = 60  # more digits than any printer resolves; also keeps the arithmetic small

_NUMBER = r"[+-]?(?:[0-9]+ +[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)"
_AMOUNT = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?P<unit>[^\s0-9.,/+-].*?)?\s*")
_BETWEEN_SIDES = re.compile(r"\s*[x×]\s*(?=[-+.,0-9])", re.IGNORECASE)
_STARTS_AS_NUMBER = re.compile(r"\s*[-+.,0-9]")
_COMMA = re.compile(r"[0-9],[0-9]")
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]*,[0-9]{3}")  # 1,250 may be one and a quarter, or twelve hundred and fifty

_INCH_UNITS = ("in", "inch", "inches", '"')
_UNITS = re.compile(r"\s*(?:mm|cm|pt|inches|inch|in|\")(?=\s|x|×|$)", re.IGNORECASE)
MM_OF_UNIT: dict[str, Callable[[Fraction], Fraction]] = {
    "mm": lambda number: number,
    "cm": lambda number: number * 10,
    "pt": points_to_mm,
    **dict.fromkeys(_INCH_UNITS, inches_to_mm),
}
_SECONDS = {
    **dict.fromkeys(("s", "sec", "second", "seconds"), 1),
    **dict.fromkeys(("min", "minute", "minutes"), 60),
    **dict.fromkeys(("h", "hour", "hours"), 3600),
    **dict.fromkeys(("day", "days"), 86_400),
    **dict.fromkeys(("week", "weeks"), 7 * 86_400),
    **dict.fromkeys(("year", "years"), 365 * 86_400),
}

LENGTH_WANTED = 'write a number with a unit (mm, cm, in or pt), such as "3 mm" or "0.125 in"'
SIZE_WANTED = 'write width x height with a unit, such as "5 x 7 in" or "127 x 177.8 mm", or a paper name such as "A4"'
DURATION_WANTED = 'write a number with a unit (s, min, h, days, years), such as "2 s" or "15 min"'
INK_WANTED = 'write the most ink of all colours on one spot, from "100 %" to "400 %", such as "300 %"'
PRICE_WANTED = "write the price as a number with a point, such as 0.12"
POINT_WANTED = "write a point, not a comma, before the decimals"


def parse_length(text: object) -> Fraction:
    """Parse a length such as `3 mm`, `0.125 in`, `1/8 in`, `9 pt` or `1 cm`, from 0 to 5 m, into exact millimetres.

    Raises:
        ValueError: no number, no unit, a unit that is no length, below 0 or over 5 m.
    """
    length = parse_shift(text)
    if length < 0:
        raise ValueError("use 0 or more")
    return length


def parse_shift(text: object) -> Fraction:
    """Parse a length that may be negative, such as `-0.3 mm`, into millimetres; ValueError as for `parse_length`."""
    number, unit = read_amount(text, LENGTH_WANTED)
    if unit not in MM_OF_UNIT:
        raise ValueError(LENGTH_WANTED)
    length = MM_OF_UNIT[unit](number)
    if abs(length) > LONGEST_MM:
        raise ValueError(f"use {show_mm(LONGEST_MM)} mm or less")
    return Length(length, "in" if unit in _INCH_UNITS else unit)


def parse_size(text: object) -> Size:
    """Parse a size: `5 x 7 in`, `5 in x 177.8 mm`, `127 × 177.8 mm`, or a standard name such as `A4 landscape`.

    Width comes first, as the thing is read. A unit behind the second side alone counts for both.

    Raises:
        ValueError: neither two lengths nor a known name, a side of 0, below 0 or over 5 m.
    """
    if not isinstance(text, str) or len(text) > LONGEST_TEXT:
        raise ValueError(SIZE_WANTED)
    sides = _sides(text)
    if sides is None:
        return _named(text)
    try:
        width, height = (parse_length(side) for side in sides)
    except ValueError as error:
        meant = sizes_meant(text, SMALLEST_CARD_MM, LONGEST_SHEET_MM)
        raise ValueError(f"{error}; did you mean {meant}?" if meant else str(error)) from None
    if width == 0 or height == 0:
        raise ValueError("use more than 0 for both sides")
    return Size(width, height)


def _is_between(least: Fraction, text: str, most: Fraction) -> bool:
    try:
        return least <= parse_length(text) <= most
    except ValueError:
        return False


def length_meant(length: Fraction) -> str | None:
    """Give a small length in the unit that must be meant: `0.125 in` for `0.125 mm`, `3 mm` for `3 in`; else None.

    Args:
        length: of a bleed, safe zone or rim as `parse_length` gives it, mm, with the unit that was written.
    """
    number, unit = in_unit_of(length, length)
    other = "mm" if unit == "in" else "in"
    if unit not in ("mm", "in") or length == 0 or LEAST_SMALL_MM <= length <= MOST_SMALL_MM:
        return None
    meant = MM_OF_UNIT[other](number)
    return f"{show_exact(number)} {other}" if LEAST_SMALL_MM <= meant <= MOST_SMALL_MM else None


def is_in_inches(text: str) -> bool:
    """Whether a size that `parse_size` accepts is in inches: written so, or the name of an inch paper."""
    sides = _sides(text)
    if sides and any(read_amount(side, SIZE_WANTED)[1] in _INCH_UNITS for side in sides):
        return True
    return is_inch_paper(parse_size(text))


def parse_duration(value: object) -> float:
    """Parse a duration such as `2 s`, `15 min`, `3 h`, `30 days` or `2 years` (of 365 days) into seconds.

    Raises:
        ValueError: no number, no unit, a unit that is no time, below 0 or over 100 years.
    """
    number, unit = read_amount(value, DURATION_WANTED)
    if unit not in _SECONDS:
        raise ValueError(DURATION_WANTED)
    seconds = number * _SECONDS[unit]
    if seconds < 0:
        raise ValueError("use 0 or more")
    if seconds > LONGEST_S:
        raise ValueError("use 100 years or less")
    return float(seconds)


def parse_keep(value: object) -> float:
    """Parse the time for which the archive keeps an order, 30 days or more, into seconds."""
    seconds = parse_duration(value)
    if seconds < LEAST_KEPT_S:
        raise ValueError('use "30 days" or more, or leave it out: the archive keeps everything')
    return seconds


def parse_ink(value: object) -> Fraction:
    """Parse an ink limit such as `300 %`: all colours of one spot together, in percent.

    Raises:
        ValueError: anything else, below 100 (one colour must be possible) or above 400 (four colours).
    """
    number, unit = read_amount(value, INK_WANTED)
    if unit not in ("%", "percent") or not 100 <= number <= 400:
        raise ValueError(INK_WANTED)
    return number


def parse_price(value: object) -> Decimal:
    """Parse a price such as 0.12, exactly as it is written in the file; from 0 to a million.

    Raises:
        ValueError: anything else.
    """
    text = value.written if isinstance(value, WrittenNumber) else value
    if isinstance(text, bool) or not isinstance(text, int | str) or len(str(text)) > LONGEST_TEXT:
        raise ValueError(PRICE_WANTED)
    try:
        price = Decimal(text)
    except InvalidOperation:
        raise ValueError(PRICE_WANTED) from None
    if not price.is_finite() or not 0 <= price <= HIGHEST_PRICE:
        raise ValueError(f"use 0 to {HIGHEST_PRICE:,}")
    return price


def show_exact(number: Fraction) -> str:
    """The exact number as text: `2.5`, `10`, and `1/3` where decimals would never end."""
    rest, places = number.denominator, 0
    while rest % 10 == 0:
        rest, places = rest // 10, places + 1
    for prime in (2, 5):
        while rest % prime == 0:
            rest, places = rest // prime, places + 1
    if rest != 1:
        return str(number)
    sign, whole = "-" if number < 0 else "", abs(number.numerator) * 10**places // number.denominator
    text = f"{whole:0{places + 1}d}"
    return f"{sign}{text[:-places]}.{text[-places:]}" if places else f"{sign}{text}"


def show_exact_length(mm: Fraction, like: Fraction) -> str:
    """The exact length as settings can have it, in the unit in which `like` was written.

    In millimetres where its decimals would never end in that unit.
    """
    number, unit = in_unit_of(like, mm)
    text = show_exact(number)
    return f"{show_exact(mm)} mm" if "/" in text else f"{text} {unit}"


def _named(text: str) -> Size:
    """The size of a standard name; ValueError with advice for text that looks like two numbers."""
    try:
        return find_paper(text)
    except ValueError:
        if not _STARTS_AS_NUMBER.match(text):
            raise
        meant = sizes_meant(text, SMALLEST_CARD_MM, LONGEST_CARD_MM)
        raise ValueError(f"a unit is missing; did you mean {meant}?" if meant else SIZE_WANTED) from None


def sizes_meant(text: str, least: Fraction, most: Fraction) -> str:
    """Give what somebody may have meant by a size, in other units than it has, or with one where it has none.

    Args:
        text: the size as it is written.
        least: the shortest that a side may be, mm.
        most: the longest, mm.

    Returns:
        `"5 x 7 in"`, or two such; the likelier one first. Empty where no unit makes sense.
    """
    bare = _UNITS.sub("", text).strip()
    likely = []
    for unit in ("in", "mm", "cm"):
        sides = _sides(f"{bare} {unit}")
        if sides and all(_is_between(least, side, most) for side in sides):
            likely.append(f'"{bare} {unit}"')
    return " or ".join(likely[:2])


def _sides(text: str) -> tuple[str, str] | None:
    """The two lengths of a size, each with its unit; None when the text is no pair of numbers with a unit."""
    parts = _BETWEEN_SIDES.split(text.strip())
    if len(parts) != 2 or not _STARTS_AS_NUMBER.match(parts[0]) or is_paper_name(text):
        return None
    match = _AMOUNT.fullmatch(parts[1])
    if match is None or match["unit"] is None:
        return None
    bare = re.fullmatch(_NUMBER, parts[0].strip())
    return (f"{parts[0]} {match['unit']}" if bare else parts[0]), parts[1]


def read_amount(value: object, wanted: str) -> tuple[Fraction, str]:
    """The number and the unit (lower case, empty for none) of a text; ValueError saying what is wanted."""
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise ValueError(wanted)
    match = _AMOUNT.fullmatch(value)
    if match is None:
        raise ValueError(POINT_WANTED if _COMMA.search(value) else wanted)
    return _number(match["number"], wanted), (match["unit"] or "").casefold()


def _number(text: str, wanted: str) -> Fraction:
    """The exact value of `8`, `8.5`, `1/8` or `8 1/2`, with or without a sign."""
    if _THOUSANDS.fullmatch(text):
        readings = f'"{text.replace(",", ".")}" or "{text.replace(",", "")}"'
        raise ValueError(f"{POINT_WANTED}: {readings}; with a comma it may be either")
    text = text.replace(",", ".")
    sign = -1 if text.startswith("-") else 1
    try:
        return sign * sum((Fraction(part) for part in text.lstrip("+-").split()), Fraction(0))
    except ZeroDivisionError:
        raise ValueError(wanted) from None
