"""The label of a register target: which printer and sheet it is for, and from which run it comes, as bits.

75 bits: what a program must know to refuse a sheet that was printed for something else. Printer and sheet are there as
short sums of their names, which tell whether they are the expected ones; nobody reads a name out of them. The last 16
bits check the others (CRC-16 with the polynomial of ITU-T V.41, as `binascii.crc_hqx` has it).
"""

import binascii
import secrets
import zlib
from dataclasses import dataclass, fields
from enum import StrEnum
from typing import Any

from watcher.align.register.target import Target
from watcher.layout.register.alignment import Correction
from watcher.settings.fields import fold
from watcher.terms import Duplex, Flip, Side

VERSION = 1
RUNS = 2**17  # numbers that a run can have
_CHECK_BITS = 16


class Use(StrEnum):
    """What a sheet was printed for."""

    TARGET = "target"  # without a correction: readings are taken from it
    PROOF = "proof"  # with a correction, to see that it is right


@dataclass(frozen=True, kw_only=True)
class Label:
    """One page of a target, as its dots say it.

    Attributes:
        version: of this record; another one is of another version of the program.
        side: of the sheet.
        use: target or proof.
        flip, duplex: how the printer was said to turn the sheet.
        printer, sheet: sums of their names.
        drawn: a sum of the sheet's size, the places of the marks and, for a proof, the correction.
        run: number of the files that it was printed from.
    """

    version: int = VERSION
    side: Side
    use: Use
    flip: Flip
    duplex: Duplex
    printer: int
    sheet: int
    drawn: int
    run: int


_BITS = {
    "version": 2,
    "side": 1,
    "use": 1,
    "flip": 1,
    "duplex": 1,
    "printer": 13,
    "sheet": 13,
    "drawn": 10,
    "run": 17,
}
_WORDS: dict[str, type[StrEnum]] = {"side": Side, "use": Use, "flip": Flip, "duplex": Duplex}
LABEL_BITS = sum(_BITS.values()) + _CHECK_BITS


def any_run() -> int:
    """Draw a random run number for the files that are written next."""
    return secrets.randbelow(RUNS)


def label_of(target: Target, side: Side, run: int, correction: Correction | None = None) -> Label:
    """Give the label of a page of a target; of a proof when it is printed with a correction."""
    return Label(
        side=side,
        use=Use.TARGET if correction is None else Use.PROOF,
        flip=target.flip,
        duplex=target.duplex,
        printer=_sum("printer", fold(target.printer)),
        sheet=_sum("sheet", fold(target.sheet_name)),
        drawn=_sum("drawn", _drawing(target, correction)),
        run=run,
    )


def _sum(field: str, text: str) -> int:
    return zlib.crc32(text.encode("utf-8")) % (1 << _BITS[field])


def _drawing(target: Target, correction: Correction | None) -> str:
    places = [
        target.sheet.width,
        target.sheet.height,
        *(way for mark in target.marks for way in (mark.front.x, mark.front.y)),
    ]
    drawn = " ".join(f"{float(place):.3f}" for place in places)
    if correction is None:
        return drawn
    shift = f"{float(correction.shift.x):.4f} {float(correction.shift.y):.4f} {correction.turn_degrees:.4f}"
    return f"{drawn} / {shift} {correction.scale_x:.6f} {correction.scale_y:.6f}"


def to_bits(label: Label) -> tuple[bool, ...]:
    """Encode a label as bits, first bit first."""
    number: int = 0
    for field in fields(label):
        value = getattr(label, field.name)
        if field.name in _WORDS:
            value = list(_WORDS[field.name]).index(value)
        number = (number << _BITS[field.name]) + int(value)
    number = number << _CHECK_BITS | _check(number)
    return tuple(bool(number >> place & 1) for place in reversed(range(LABEL_BITS)))


def from_bits(bits: tuple[bool, ...]) -> Label | None:
    """Decode a label from bits; None when their check does not agree."""
    number = sum(bit << place for place, bit in enumerate(reversed(bits)))
    number, check = number >> _CHECK_BITS, number & (2**_CHECK_BITS - 1)
    if check != _check(number):
        return None
    values: dict[str, Any] = {}
    for field in reversed(fields(Label)):
        number, value = divmod(number, 2 ** _BITS[field.name])
        values[field.name] = list(_WORDS[field.name])[value] if field.name in _WORDS else value
    return Label(**values)


def _check(number: int) -> int:
    return binascii.crc_hqx(number.to_bytes((LABEL_BITS + 7) // 8, "big"), 0xFFFF)
