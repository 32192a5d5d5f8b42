"""The records of alignment.toml and their form on disk: every correction that was measured, oldest first."""

import tomllib
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Any, TypeVar

import tomli_w
from pydantic import ValidationError

from watcher.disk import has_endless_key
from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import Correction, Terms
from watcher.settings.fields import fold
from watcher.settings.printer import AlignSettings
from watcher.terms import Duplex, Flip

LARGEST = 1_000_000  # bytes; fifty corrections of a dozen printers are a tenth of it
_MOST_OF_A_KIND = 50  # corrections of one printer and sheet, turn tests of one printer
_HEAD = (
    "# Written by `print-folder align`; what you write under [printers.NAME.align.SHEET] in settings.toml wins over "
    "it.\n"
)
_TURN_KEYS = ("flip", "dialog_flip", "feed", "lead", "guide", "reload", "backs_order")
_Record = TypeVar("_Record")


@dataclass(frozen=True, kw_only=True)
class Alignment:
    """One measured correction, or the record that the earlier one was dropped.

    Attributes:
        printer, sheet: names in the settings.
        made_at: when, with offset.
        correction: of the back page; None: dropped, from then on there is none.
        terms: which of shift, turn and scale were fitted.
        marks, sheets: how many were read.
        read_by: in words, such as `from scans`.
        residual_mm, residual_mark: the largest error that it leaves, and at which mark.
        scatter_mm, scatter_worst_mm: typical and largest difference between the sheets; None for one sheet.
        size, flip, duplex: of the sheet and printer when it was measured; it applies to no others.
    """

    printer: str
    sheet: str
    made_at: datetime
    correction: Correction | None
    terms: Terms = Terms.SHIFT
    marks: int = 0
    sheets: int = 0
    read_by: str = ""
    residual_mm: float = 0.0
    residual_mark: int = 0
    scatter_mm: float | None = None
    scatter_worst_mm: float | None = None
    size: Size
    flip: Flip
    duplex: Duplex

    def is_for(self, printer: str, sheet: str) -> bool:
        """Whether it is of this printer and sheet, ignoring case."""
        return (fold(self.printer), fold(self.sheet)) == (fold(printer), fold(sheet))


@dataclass(frozen=True, kw_only=True)
class TurnTest:
    """The result of a turn test: values by key of the printer's settings (`_TURN_KEYS`), as far as it told them."""

    printer: str
    made_at: datetime
    found: Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class Alignments:
    """The content of alignment.toml, oldest first."""

    alignments: tuple[Alignment, ...] = ()
    turn_tests: tuple[TurnTest, ...] = ()

    def history(self, printer: str, sheet: str) -> list[Alignment]:
        """Give all corrections of a printer and sheet, oldest first."""
        return [one for one in self.alignments if one.is_for(printer, sheet)]

    def current(self, printer: str, sheet: str) -> Alignment | None:
        """Give the last correction of a printer and sheet; None when there is none or it was dropped."""
        history = self.history(printer, sheet)
        return history[-1] if history and history[-1].correction is not None else None

    def last_turn_test(self, printer: str) -> TurnTest | None:
        """Give the newest turn test of a printer; None when there is none."""
        return next((one for one in reversed(self.turn_tests) if fold(one.printer) == fold(printer)), None)


def by_hand(align: AlignSettings) -> Correction:
    """Give the correction written in settings.toml."""
    return Correction(
        shift=Point(*align.shift), turn_degrees=align.turn, scale_x=align.scale[0], scale_y=align.scale[1]
    )


def parse(data: bytes) -> Alignments:
    """Parse the bytes of alignment.toml.

    Raises:
        ValueError, TypeError, KeyError, AttributeError, RecursionError or ArithmeticError: it is damaged, or was not
            written by this program.
    """
    if len(data) > LARGEST:
        raise ValueError("too large")
    text = data.decode("utf-8-sig")
    if has_endless_key(text):
        raise ValueError("a name with thousands of dots")
    body = tomllib.loads(text, parse_float=float)
    if set(body) - {"alignments", "turn_tests"}:
        raise ValueError("unknown tables")
    return Alignments(
        alignments=tuple(_alignment(one) for one in body.get("alignments", [])),
        turn_tests=tuple(_turn_test(one) for one in body.get("turn_tests", [])),
    )


def _alignment(one: Mapping[str, Any]) -> Alignment:
    width, height = (_fraction(side) for side in one["sheet_mm"])
    common: dict[str, Any] = {
        "printer": _text(one["printer"]),
        "sheet": _text(one["sheet"]),
        "made_at": _when(one["made_at"]),
        "size": Size(width, height),
        "flip": Flip(one["flip"]),
        "duplex": Duplex(one["duplex"]),
    }
    if one.get("forgotten", False) is True:
        return Alignment(correction=None, **common)
    scatter, worst = one.get("scatter_mm"), one.get("scatter_worst_mm")
    return Alignment(
        correction=_correction(one),
        terms=Terms(one["terms"]),
        marks=int(one["marks"]),
        sheets=int(one["sheets"]),
        read_by=_text(one["read_by"]),
        residual_mm=float(_fraction(one["residual_mm"])),
        residual_mark=int(one["residual_mark"]),
        scatter_mm=None if scatter is None else float(_fraction(scatter)),
        scatter_worst_mm=None if worst is None else float(_fraction(worst)),
        **common,
    )


def _correction(one: Mapping[str, Any]) -> Correction:
    """Parse a correction; it has the same bounds as one in settings.toml."""
    right, up = one["shift_mm"]
    shift = (_fraction(right), _fraction(up))
    try:
        return by_hand(AlignSettings(shift=shift, turn=one["turn_degrees"], scale=tuple(one["scale"])))
    except ValidationError as error:
        raise ValueError("out of bounds") from error


def _turn_test(one: Mapping[str, Any]) -> TurnTest:
    found = {key: _text(one[key]) for key in _TURN_KEYS if key in one}
    return TurnTest(printer=_text(one["printer"]), made_at=_when(one["made_at"]), found=found)


def _fraction(value: object) -> Fraction:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError("no number")
    return Fraction(repr(value))  # as it is written, and never infinite


def _text(value: object) -> str:
    if not isinstance(value, str) or not value.isprintable():
        raise TypeError("no text")
    return value


def _when(value: object) -> datetime:
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise TypeError("no time")
    return value


def dump(alignments: Alignments) -> bytes:
    """Give the bytes of alignment.toml; the oldest history is left out where there is much of it."""
    turn_tests = _last(alignments.turn_tests, lambda one: fold(one.printer))
    corrections = _last(alignments.alignments, lambda one: (fold(one.printer), fold(one.sheet)))
    body = {
        "turn_tests": [{"printer": one.printer, "made_at": one.made_at, **one.found} for one in turn_tests],
        "alignments": [_body(one) for one in corrections],
    }
    return (_HEAD + tomli_w.dumps(body)).encode("utf-8")


def _last(records: Sequence[_Record], kind: Callable[[_Record], Hashable]) -> list[_Record]:
    """Give the newest records of each kind, in their order."""
    counts: dict[Hashable, int] = {}
    left = []
    for one in reversed(records):
        counts[kind(one)] = counts.get(kind(one), 0) + 1
        if counts[kind(one)] <= _MOST_OF_A_KIND:
            left.append(one)
    return left[::-1]


def _body(one: Alignment) -> dict[str, Any]:
    body: dict[str, Any] = {
        "printer": one.printer,
        "sheet": one.sheet,
        "made_at": one.made_at,
        "sheet_mm": [float(one.size.width), float(one.size.height)],
        "flip": str(one.flip),
        "duplex": str(one.duplex),
    }
    if one.correction is None:
        return body | {"forgotten": True}
    body |= {
        "shift_mm": [float(one.correction.shift.x), float(one.correction.shift.y)],
        "turn_degrees": one.correction.turn_degrees,
        "scale": [one.correction.scale_x, one.correction.scale_y],
        "terms": str(one.terms),
        "marks": one.marks,
        "sheets": one.sheets,
        "read_by": one.read_by,
        "residual_mm": one.residual_mm,
        "residual_mark": one.residual_mark,
    }
    if one.scatter_mm is not None and one.scatter_worst_mm is not None:
        body |= {"scatter_mm": one.scatter_mm, "scatter_worst_mm": one.scatter_worst_mm}
    return body
