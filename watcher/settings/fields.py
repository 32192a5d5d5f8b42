"""The types of settings, each with a validator that refuses in our own words.

A validator takes a value as the file has it, or the value that it returns, so that records can be built from values
too. They are pydantic's plain validators, so that none of pydantic's own messages can reach the shop owner.
"""

import math
import re
import unicodedata
from collections.abc import Callable
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import Annotated, TypeVar
from urllib.parse import urlsplit

from pydantic import PlainValidator, ValidationInfo

from watcher.layout.geometry import Margins, Size
from watcher.settings.amounts import MOST_CARDS, Overs, Pile, parse_overs, parse_pile
from watcher.settings.values import (
    LEAST_KEPT_S,
    POINT_WANTED,
    parse_duration,
    parse_ink,
    parse_keep,
    parse_length,
    parse_price,
    parse_shift,
    parse_size,
)
from watcher.terms import (
    Backs,
    Copies,
    CutterKind,
    Duplex,
    Edge,
    Engine,
    Events,
    Feed,
    Flip,
    Fold,
    Grain,
    MakeBleed,
    Marks,
    PageOrder,
    PaperEdge,
    Placeholder,
    Prefer,
    PrinterKind,
    Quality,
    Quarter,
    ReadableBy,
    Send,
    Sequencing,
)
from watcher.terms import ShapeMismatch as Mismatch
from watcher.units import points_to_mm, show_mm

THINNEST_LINE_PT, THICKEST_LINE_PT = Fraction(1, 10), Fraction(2)
THINNEST_SHEET_MM, THICKEST_SHEET_MM = Fraction(2, 100), Fraction(3)
FURTHEST_SHIFT_MM = Fraction(50)
MOST_TURN = 10.0
LEAST_SCALE, MOST_SCALE = 0.8, 1.25
# Our own measurement on random runs of 3 to 10 orders: a third kind of sheet saves 2 sheets in 1,000 and takes minutes
# of search; a fourth saves nothing more.
MOST_LAYOUTS = 2
LONGEST_TEXT = 300
LONGEST_NAME = 60
LONGEST_MONEY = 12

_QUANTITY_WORD = re.compile(r"[x×][0-9]+|@[0-9.]+x")
_SEPARATORS = "_-. "
_PLACEHOLDERS = tuple(word.written for word in Placeholder)
_IN_BRACES = re.compile(r"(?<!\$)\{\s*[A-Za-z_][\w-]*\s*\}")  # `${HOME}` and `{}` are other programs' own
_SCHEDULER = re.compile(r"(tcp|tls)://[^\s/:]+|(tcp|tls)://[^\s/]+:[0-9]{1,5}")
_PRINTER_ADDRESS = re.compile(r"ipps?://[!-~]{1,1000}", re.IGNORECASE)
_PRINTER_WORD = re.compile(r"[A-Za-z0-9][A-Za-z0-9._ -]{0,254}")
PRINTER_ADDRESS_WANTED = (
    'use the address of a printer or of its queue, such as "ipp://192.168.1.20/ipp/print" or '
    '"ipps://localhost/printers/laser"'
)
_Word = TypeVar("_Word", bound=StrEnum)


def fold(text: str) -> str:
    """Casefold a name or word for comparison: NFC, case folded, NFC again."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", text).casefold())


def whole_number(least: int, most: int) -> PlainValidator:
    """A validator for whole numbers from `least` to `most`; booleans are refused."""

    def read(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise ValueError("use a whole number without quotes")
        if not least <= value <= most:
            raise ValueError(f"use {least:,} to {most:,}")
        return value

    return PlainValidator(read)


def one_of(words: type[_Word]) -> PlainValidator:
    """A validator for the words of an enum, written exactly."""
    choices = " or ".join(f'"{word}"' for word in words)

    def read(value: object) -> _Word:
        if not isinstance(value, str) or value not in [word.value for word in words]:
            raise ValueError(f"use {choices}")
        return words(value)

    return PlainValidator(read)


def value_or(kind: type, parse: Callable[[object], object]) -> PlainValidator:
    """A validator that returns a value of `kind` as it is, and parses any other."""
    return PlainValidator(lambda value: value if isinstance(value, kind) else parse(value))


def _length(value: object) -> Fraction:
    if isinstance(value, Fraction) and value < 0:
        raise ValueError("use 0 or more")
    return value if isinstance(value, Fraction) else parse_length(value)


def _line_weight(value: object) -> Fraction:
    weight = _length(value)
    if not points_to_mm(THINNEST_LINE_PT) <= weight <= points_to_mm(THICKEST_LINE_PT):
        raise ValueError(f'use "{float(THINNEST_LINE_PT)} pt" to "{THICKEST_LINE_PT} pt"')
    return weight


def _thickness(value: object) -> Fraction:
    thickness = _length(value)
    if not THINNEST_SHEET_MM <= thickness <= THICKEST_SHEET_MM:
        raise ValueError(
            f"use the thickness of one sheet, {show_mm(THINNEST_SHEET_MM)} to {show_mm(THICKEST_SHEET_MM)} mm"
        )
    return thickness


def _seconds(value: object) -> float:
    """Seconds. A plain float comes only from code: a number in the file is a `WrittenNumber`, and has no unit."""
    return value if type(value) is float and 0 <= value < math.inf else parse_duration(value)


def _keep(value: object) -> float:
    return value if type(value) is float and LEAST_KEPT_S <= value < math.inf else parse_keep(value)


def _yes_or_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueError("use true or false, without quotes")
    return value


def _sides(value: object) -> int:
    if isinstance(value, bool) or value not in (1, 2) or not isinstance(value, int):
        raise ValueError("use 1 or 2, without quotes")
    return value


def _layouts(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MOST_LAYOUTS:
        raise ValueError("use 1 or 2, without quotes; a third kind of sheet in a run saves next to no paper")
    return value


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError("use text in quotes")
    text = " ".join(value.split())
    if len(text) > LONGEST_TEXT or not text.isprintable():
        raise ValueError(f"use plain text of at most {LONGEST_TEXT} letters")
    return text


def _money(value: object) -> str:
    money = _text(value)
    if not money or len(money) > LONGEST_MONEY:
        raise ValueError(
            f'use the name or sign of your money in quotes, at most {LONGEST_MONEY} letters, such as "EUR"'
        )
    return money


def _name(value: object) -> str:
    if not isinstance(value, str) or not value.strip() or len(value) > LONGEST_NAME or not value.isprintable():
        raise ValueError(f"use a name in quotes, of at most {LONGEST_NAME} letters")
    return value


def _margins(value: object) -> Margins:
    if isinstance(value, Margins):
        return value
    if not isinstance(value, (list, tuple)):
        return Margins.all_round(_length(value))
    if len(value) != 4:
        raise ValueError('use one length, or four: ["top", "right", "bottom", "left"]')
    return Margins(*(_length(side) for side in value))


def _path(value: object, info: ValidationInfo) -> Path:
    """A path; a relative one starts at the folder in the validation context, `~` is the home folder."""
    if not isinstance(value, (str, Path)) or not str(value).strip() or "\0" in str(value):
        raise ValueError("use the path of a file or folder, in quotes")
    path = Path(value)
    if str(value).startswith("~"):
        try:
            path = path.expanduser()
        except RuntimeError:
            raise ValueError("use the whole path: nobody has this home folder") from None
    folder = (info.context or {}).get("folder")
    return path if folder is None else Path(folder) / path


def _side_words(value: object) -> tuple[str, ...]:
    if not isinstance(value, (list, tuple)) or not value or not all(isinstance(word, str) for word in value):
        raise ValueError('use a list of words, such as ["front", "recto"]')
    words = tuple(_text(word) for word in value)
    for word in words:
        _check_side_word(word)
    if len({fold(word) for word in words}) < len(words):
        raise ValueError("use each word once; capitals make no other word")
    return words


def _check_side_word(word: str) -> None:
    if not word or word.strip(_SEPARATORS) != word or any(sign in word for sign in '/\\:*?"<>|()'):
        raise ValueError(f'"{word}" cannot be a side word; use letters, without separators around them')
    if _QUANTITY_WORD.fullmatch(fold(word)):
        raise ValueError(f'"{word}" in a file name is a quantity or a pixel scale; use another word')


def _file_names(value: object) -> tuple[str, ...]:
    wanted = 'use a list of names of files or folders, such as [".my-sync"]; * stands for any letters'
    if not isinstance(value, (list, tuple)):
        raise ValueError(wanted)
    for name in value:
        if not isinstance(name, str) or not name.strip(".* ") or not name.isprintable() or set(name) & set("/\\"):
            raise ValueError(wanted)
    return tuple(value)


def _command(value: object) -> tuple[str, ...]:
    if not isinstance(value, (list, tuple)) or not all(isinstance(part, str) for part in value):
        raise ValueError('use a list of texts, such as ["command", "{sheets}"]')
    if any("\0" in part for part in value) or (value and not value[0].strip()):
        raise ValueError("use a command as the first text of the list")
    unknown = [found for part in value for found in _IN_BRACES.findall(part) if found not in _PLACEHOLDERS]
    if unknown:
        raise ValueError(
            f"{', '.join(dict.fromkeys(unknown))} stands for nothing; use {', '.join(_PLACEHOLDERS)}, or put braces of"
            " another meaning into a script of your own"
        )
    return tuple(value)


def _scheduler(value: object) -> str:
    if not isinstance(value, str) or not _SCHEDULER.fullmatch(value):
        raise ValueError('use the address of the scheduler, such as "tcp://192.168.1.5:8786" or "tls://..."')
    return value


def _printer_address(value: object) -> str:
    """The address of a printer, RFC 3510 and RFC 7472, with a path and without a name and password in it."""
    try:
        parts = urlsplit(value) if isinstance(value, str) and _PRINTER_ADDRESS.fullmatch(value) else None
        if parts is None or not parts.hostname or parts.port == 0:
            raise ValueError(PRINTER_ADDRESS_WANTED)
    except ValueError:  # a port beyond 65535, brackets that hold no IPv6 address
        raise ValueError(PRINTER_ADDRESS_WANTED) from None
    if parts.username is not None:
        raise ValueError("leave the name and password out; they belong in a file of their own: login_file")
    if parts.path in ("", "/"):
        raise ValueError(f'{PRINTER_ADDRESS_WANTED}; a path such as "/ipp/print" or "/printers/NAME" belongs to it')
    return parts.scheme.lower() + str(value)[len(parts.scheme) :]


def _printer_own_word(value: object) -> str:
    """A keyword or name of RFC 8011 5.1.4, as the printer says it."""
    if not isinstance(value, str) or not _PRINTER_WORD.fullmatch(value):
        raise ValueError('use the printer\'s own word, such as "by-pass-tray"; `print-folder check` lists them')
    return value


def _certificate(value: object) -> str:
    """The SHA-256 of a certificate, lower case and without colons."""
    digits = value.replace(":", "").strip().lower() if isinstance(value, str) else ""
    if not re.fullmatch(r"[0-9a-f]{64}", digits):
        raise ValueError("use the 64 digits that `print-folder check` showed for this printer, in quotes")
    return digits


def _shift(value: object) -> tuple[Fraction, Fraction]:
    wanted = 'use two lengths, right and up, such as ["0.5 mm", "-0.3 mm"]'
    if not isinstance(value, (list, tuple)) or len(value) != 2:
        raise ValueError(wanted)
    right, up = (part if isinstance(part, Fraction) else parse_shift(part) for part in value)
    if max(abs(right), abs(up)) > FURTHEST_SHIFT_MM:
        raise ValueError(f"use {FURTHEST_SHIFT_MM} mm or less; more is no printer's shift")
    return right, up


def _turn(value: object) -> float:
    turn = _number(value, "use a number of degrees, counter-clockwise, without quotes")
    if not abs(turn) <= MOST_TURN:
        raise ValueError(f"use {-MOST_TURN:.0f} to {MOST_TURN:.0f} degrees")
    return turn


def _scale(value: object) -> tuple[float, float]:
    wanted = "use two numbers, across and up, such as [1.001, 0.9985]"
    if not isinstance(value, (list, tuple)) or len(value) != 2:
        more = isinstance(value, (list, tuple)) and len(value) > 2
        raise ValueError(f"{wanted}; {POINT_WANTED}" if more else wanted)
    across, up = (_number(part, wanted) for part in value)
    if not all(LEAST_SCALE <= part <= MOST_SCALE for part in (across, up)):
        raise ValueError(f"use numbers from {LEAST_SCALE} to {MOST_SCALE}; 1 is the true size")
    return across, up


def _number(value: object, wanted: str) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise ValueError(wanted)
    return float(value)


Length = Annotated[Fraction, PlainValidator(_length)]
LineWeight = Annotated[Fraction, PlainValidator(_line_weight)]
Thickness = Annotated[Fraction, PlainValidator(_thickness)]
Keep = Annotated[float, PlainValidator(_keep)]
Seconds = Annotated[float, PlainValidator(_seconds)]
CardSize = Annotated[Size, value_or(Size, parse_size)]
Rim = Annotated[Margins, PlainValidator(_margins)]
PileHeight = Annotated[Pile, value_or(Pile, parse_pile)]
Price = Annotated[Decimal, value_or(Decimal, parse_price)]
Money = Annotated[str, PlainValidator(_money)]
Spare = Annotated[Overs, value_or(Overs, parse_overs)]
YesOrNo = Annotated[bool, PlainValidator(_yes_or_no)]
Sides = Annotated[int, PlainValidator(_sides)]
Text = Annotated[str, PlainValidator(_text)]
Name = Annotated[str, PlainValidator(_name)]
Place = Annotated[Path, PlainValidator(_path)]
SideWords = Annotated[tuple[str, ...], PlainValidator(_side_words)]
FileNames = Annotated[tuple[str, ...], PlainValidator(_file_names)]
Command = Annotated[tuple[str, ...], PlainValidator(_command)]
Ink = Annotated[Fraction, value_or(Fraction, parse_ink)]
Shift = Annotated[tuple[Fraction, Fraction], PlainValidator(_shift)]
SmallTurn = Annotated[float, PlainValidator(_turn)]
Scale = Annotated[tuple[float, float], PlainValidator(_scale)]
Quantity = Annotated[int, whole_number(1, MOST_CARDS)]
Resolution = Annotated[int, whole_number(0, 10_000)]
Workers = Annotated[int, whole_number(1, 64)]
Layouts = Annotated[int, PlainValidator(_layouts)]
PrinterAddress = Annotated[str, PlainValidator(_printer_address)]
CertificateFingerprint = Annotated[str, PlainValidator(_certificate)]
SchedulerAddress = Annotated[str, PlainValidator(_scheduler)]
BacksWord = Annotated[Backs, one_of(Backs)]
QuarterWord = Annotated[Quarter, one_of(Quarter)]
MismatchWord = Annotated[Mismatch, one_of(Mismatch)]
MakeBleedWord = Annotated[MakeBleed, one_of(MakeBleed)]
PaperEdgeWord = Annotated[PaperEdge, one_of(PaperEdge)]
MarksWord = Annotated[Marks, one_of(Marks)]
SequenceWord = Annotated[Sequencing, one_of(Sequencing)]
PreferWord = Annotated[Prefer, one_of(Prefer)]
CopiesWord = Annotated[Copies, one_of(Copies)]
EventsWord = Annotated[Events, one_of(Events)]
EngineWord = Annotated[Engine, one_of(Engine)]
FlipWord = Annotated[Flip, one_of(Flip)]
DuplexWord = Annotated[Duplex, one_of(Duplex)]
PrinterOwnWord = Annotated[str, PlainValidator(_printer_own_word)]
QualityWord = Annotated[Quality, one_of(Quality)]
ReadableByWord = Annotated[ReadableBy, one_of(ReadableBy)]
SendWord = Annotated[Send, one_of(Send)]
PageOrderWord = Annotated[PageOrder, one_of(PageOrder)]
FeedWord = Annotated[Feed, one_of(Feed)]
EdgeWord = Annotated[Edge, one_of(Edge)]
FoldWord = Annotated[Fold, one_of(Fold)]
GrainWord = Annotated[Grain, one_of(Grain)]
CutterWord = Annotated[CutterKind, one_of(CutterKind)]
PrinterWord = Annotated[PrinterKind, one_of(PrinterKind)]
