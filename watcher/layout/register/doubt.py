"""Find what is doubtful about a correction before it is saved: readings that contradict each other, or too few.

A number read by eye is off by up to 0.1 mm, half of what lies from line to line: a standard deviation of 0.06 mm. From
that it follows how far a mark may stand from what the others say there; where it is four standard deviations or more
away, one of them was misread. Fair readings are doubted once in a thousand sheets at most; a slip of half a millimetre
on six marks always is.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto

import numpy as np
import numpy.typing as npt

from watcher.layout.geometry import Size
from watcher.layout.register.alignment import Correction, Terms
from watcher.layout.register.fit import RegisterFit, expected, fit_register, fit_unchecked, from_centre
from watcher.layout.register.readings import ReadBy, Reading, ReadingsRefused, mean_readings, named_marks, show_reading
from watcher.layout.register.solve import slopes

OFF_BY_EYE_MM = 0.06  # standard deviation, each way
_DEVIATIONS = 4
LEAST_TESTED = 4  # marks of which each can be tested against the others
SCANS_LEAVE_MM = 0.1  # fair scans leave at most 0.04 (measured)
LIKELY_SHIFT_MM = 5.0  # as far as the printed scales reach
LIKELY_TURN_DEGREES = 1.0  # 3.5 mm on a letter sheet (our own choice)
LIKELY_SCALE_OFF = 0.008  # a fuser shrinks paper by less than half a percent (from memory)


class DoubtKind(Enum):
    """The kind of a doubt."""

    MARK = auto()  # a mark that may be misread
    FEW = auto()  # too few marks to test them
    UNLIKELY = auto()  # a correction that no printer has
    SCANS = auto()  # scans that leave more than fair ones


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """One reason to read the marks again, as a sentence for the shop owner."""

    kind: DoubtKind
    words: str


def doubts(sheets: Sequence[Sequence[Reading]], fit: RegisterFit, size: Size, read_by: ReadBy) -> tuple[Doubt, ...]:
    """All doubts about readings and the correction fitted to them; none for fair readings."""
    found = [*_unlikely(fit.correction)]
    if read_by is ReadBy.SCANS:
        return (*found, *_left_by_scans(sheets, fit, size))
    sheets = [sheet for sheet in sheets if sheet]
    if len(sheets) > 1:
        for number, sheet in enumerate(sheets, start=1):
            found += _misread(sheet, size, f" on sheet {number}")
    if not any(doubt.kind is DoubtKind.MARK for doubt in found):
        found += _misread(mean_readings(sheets), size, "")
    return (*found, *_few(fit))


def _few(fit: RegisterFit) -> list[Doubt]:
    marks = len(fit.residuals)
    if marks >= LEAST_TESTED:
        return []
    which = {1: "One mark alone", 2: "Two marks", 3: "Three marks"}[marks]
    words = f"{which} cannot be tested against each other: a slip would go in unseen. Read a fourth, or all six."
    return [Doubt(kind=DoubtKind.FEW, words=words.replace("each other", "others") if marks == 1 else words)]


def _unlikely(correction: Correction) -> list[Doubt]:
    found = []
    far = max(abs(float(correction.shift.x)), abs(float(correction.shift.y)))
    if far > LIKELY_SHIFT_MM:
        found.append(f"move the back by {far:.1f} mm (more than {LIKELY_SHIFT_MM:g} mm)")
    if abs(correction.turn_degrees) > LIKELY_TURN_DEGREES:
        found.append(f"turn it by {abs(correction.turn_degrees):.1f} degrees (more than {LIKELY_TURN_DEGREES:g})")
    scale = max(abs(correction.scale_x - 1), abs(correction.scale_y - 1))
    if scale > LIKELY_SCALE_OFF:
        found.append(f"stretch it by {scale:.1%} (more than {LIKELY_SCALE_OFF:.1%})")
    if not found:
        return []
    words = (
        f"Hardly a printer needs this: it would {' and '.join(found)}. Were both sides printed at actual size (100 %) "
        "on one sheet that went in straight, and is every sign right?"
    )
    return [Doubt(kind=DoubtKind.UNLIKELY, words=words)]


def _left_by_scans(sheets: Sequence[Sequence[Reading]], fit: RegisterFit, size: Size) -> list[Doubt]:
    worst = fit.worst
    for sheet in sheets:
        alone = fit_register([sheet], size, ReadBy.SCANS).worst
        worst = max(worst, alone, key=lambda residual: residual.distance)
    if worst.distance <= SCANS_LEAVE_MM:
        return []
    words = (
        f"The scans are not quite sound: mark {worst.mark} stays {worst.distance:.2f} mm off, fair scans leave 0.04. "
        "Scan both sides again, the sheet flat under the closed lid."
    )
    return [Doubt(kind=DoubtKind.SCANS, words=words)]


def _misread(read: Sequence[Reading], size: Size, where: str) -> list[Doubt]:
    """A doubt for a mark that contradicts the others, or for three marks that contradict each other."""
    try:
        terms = fit_unchecked(read, size)[1] if read else Terms.SHIFT
    except ReadingsRefused:  # in line: the mean of all sheets will tell
        return []
    if terms is not Terms.ALL:
        return []
    tested = _tested(read, size)
    if max(one.share for one in tested) <= 1:
        return []
    if len(read) == 3:
        words = f"{named_marks(read)}{where} do not go together: one of them was misread."
        return [Doubt(kind=DoubtKind.MARK, words=f"{words} Look again, and read a fourth, which tells.")]
    without = {number: _left_without(number, read, size) for number in range(len(read))}
    suspects = sorted((number for number in without if without[number] <= 1), key=lambda number: without[number])
    worst, *more = suspects or [max(without, key=lambda number: tested[number].share)]
    words = (
        f"Look at mark {read[worst].mark}{where} again: it reads {show_reading(read[worst])}, by all the others it "
        f"should be {show_reading(tested[worst].said)}."
    )
    if more:
        others = " or ".join(str(read[number].mark) for number in more)
        words += f" If it is right, it is mark {others} that was misread; another mark would tell."
    return [Doubt(kind=DoubtKind.MARK, words=words)]


@dataclass(frozen=True, kw_only=True)
class _Tested:
    """A reading tested against the others: its distance as a multiple of the most for fair readings, and theirs."""

    share: float
    said: Reading


def _tested(read: Sequence[Reading], size: Size) -> list[_Tested]:
    if len(read) == 3:
        return _three(read, size)
    return [_one(reading, [*read[:number], *read[number + 1 :]], size) for number, reading in enumerate(read)]


def _one(reading: Reading, rest: Sequence[Reading], size: Size) -> _Tested:
    """One reading tested against all others; distance 0 where these are in one line and cannot tell."""
    try:
        correction, terms = fit_unchecked(rest, size)
    except ReadingsRefused:
        return _Tested(share=0.0, said=reading)
    right, up = expected(reading.place, correction, size)
    weights = slopes(_places([reading], size)) @ np.linalg.pinv(slopes(_places(rest, size)))
    most = _DEVIATIONS * OFF_BY_EYE_MM * np.sqrt(1 + (weights**2).sum(axis=1))
    apart = np.abs(np.array((float(reading.right) - right, float(reading.up) - up)))
    share = float((apart / most).max()) if terms is Terms.ALL else 0.0
    return _Tested(share=share, said=reading.moved_to(right, up))


def _three(read: Sequence[Reading], size: Size) -> list[_Tested]:
    """Three marks leave one number to test: the residual of each, against the most that fair readings leave."""
    correction, _ = fit_unchecked(read, size)
    rows = slopes(_places(read, size))
    left_over = np.eye(len(rows)) - rows @ np.linalg.pinv(rows)
    most = _DEVIATIONS * OFF_BY_EYE_MM * np.sqrt((left_over**2).sum(axis=1)).reshape(-1, 2)
    tested = []
    for reading, able in zip(read, most, strict=True):
        right, up = expected(reading.place, correction, size)
        left = np.abs(np.array((float(reading.right) - right, float(reading.up) - up)))
        tested.append(_Tested(share=float((left / np.maximum(able, 1e-3)).max()), said=reading.moved_to(right, up)))
    return tested


def _left_without(number: int, read: Sequence[Reading], size: Size) -> float:
    """The largest distance among the others once a mark is left out, as a multiple of the most for fair readings."""
    rest = [*read[:number], *read[number + 1 :]]
    try:
        correction, terms = fit_unchecked(rest, size)
    except ReadingsRefused:  # in line: they say nothing against each other
        return 1.0
    if terms is not Terms.ALL:
        return 1.0
    return math.inf if _unlikely(correction) else max(one.share for one in _tested(rest, size))


def _places(read: Sequence[Reading], size: Size) -> npt.NDArray[np.float64]:
    return np.array([from_centre(reading.place, size) for reading in read])
