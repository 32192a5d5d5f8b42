"""Fit the correction that brings backs behind their fronts to readings of the register target.

What a reading says: at a mark, a pin through the front's cross falls on the back's printed scale at (right, up). The
back page has put its zero elsewhere than behind the cross, and what it has put behind the cross is its own point
`place + (right, up)`. A page drawn so that `place` goes to `place + (right, up)` therefore lands right, exactly and
not only for small errors: the correction is fitted to just that. A pin at +0.8, +0.5 moves the back by +0.80, +0.50.
(The pin reads front minus back. What a gauge laid on the back would read, back minus front, has the other sign.)

How many terms are fitted depends on how many different marks were read: one tells a shift; two a shift and a turn;
three or more that are not in line also the scale in both directions (five numbers, no shear: a printer has none worth
it).
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import Correction, Terms
from watcher.layout.register.readings import (
    MeanReading,
    ReadBy,
    Reading,
    ReadingsRefused,
    Scatter,
    apart,
    means_of,
    named_marks,
    scatter_of,
    show_reading,
)
from watcher.layout.register.solve import moved, solve

MOST_RESIDUAL_MM = 0.5  # what is accepted after calibration (common practice, no source)
LEAST_SPREAD_MM = 10.0  # mean distance from the best line below which marks count as in line (our own choice)
LEAST_BASE_MM = 40.0  # how far apart two marks must be to tell a turn (our own choice)
MOST_TURN_DEGREES = 2.0  # more is a sheet that went in askew, not a printer's habit (our own choice)
MOST_SCALE_OFF = 0.02  # more is a page that was printed to fit, not at actual size (our own choice)
MOST_LEFT_MM = {ReadBy.EYE: MOST_RESIDUAL_MM, ReadBy.SCANS: 0.15}  # fair scans leave at most 0.04 (measured)


@dataclass(frozen=True, kw_only=True)
class Residual:
    """The error that the correction leaves at a mark, mm: the mean reading less the reading that it predicts."""

    mark: int
    right: float
    up: float

    @property
    def distance(self) -> float:
        """How far off the mark stays."""
        return math.hypot(self.right, self.up)


@dataclass(frozen=True, kw_only=True)
class RegisterFit:
    """A correction and how well it fits the readings.

    Attributes:
        correction: for the back page.
        terms: what it is made of.
        residuals: what is left, a mark each.
        scatter: between the sheets; None when no mark was read on two.
        sheets: how many were read.
    """

    correction: Correction
    terms: Terms
    residuals: tuple[Residual, ...]
    scatter: Scatter | None
    sheets: int

    @property
    def worst(self) -> Residual:
        """The mark that stays furthest off."""
        return max(self.residuals, key=lambda residual: residual.distance)


def fit_register(sheets: Sequence[Sequence[Reading]], size: Size, read_by: ReadBy = ReadBy.EYE) -> RegisterFit:
    """Fit a correction to the mean readings of all sheets, by least squares.

    Args:
        sheets: the readings of each sheet; not every mark need be read on each.
        size: of the sheet; a correction turns and scales about its centre.
        read_by: by eye or from scans, which says how far a mark may be left off.

    Raises:
        ReadingsRefused: nothing was read; the marks are in line or too near each other; a mark does not fit the others
            within 0.5 mm by eye or 0.15 mm from scans (on one sheet or in the mean); or no printer turns or scales
            that much.
    """
    sheets = [sheet for sheet in sheets if sheet]
    if not sheets:
        raise ReadingsRefused(
            "No mark was read. Read at least one; three or more that are not in line tell everything."
        )
    for number, sheet in enumerate(sheets, start=1):
        where = f" on sheet {number}" if len(sheets) > 1 else ""
        _refuse_misfit(means_of([sheet]), size, where, read_by, only_when_sure=True)
    means = means_of(sheets)
    correction, terms = _fit(means, size)
    _refuse_misfit(means, size, "", read_by, only_when_sure=False)
    _refuse_impossible(correction)
    return RegisterFit(
        correction=correction,
        terms=terms,
        residuals=_residuals(means, correction, size),
        scatter=scatter_of(sheets),
        sheets=len(sheets),
    )


def fit_unchecked(read: Sequence[Reading], size: Size) -> tuple[Correction, Terms]:
    """Fit a correction to one reading of each mark, without refusing a bad fit.

    Raises:
        ReadingsRefused: the marks are in line or too near each other.
    """
    return _fit([MeanReading(reading=reading, count=1) for reading in read], size)


def _fit(means: Sequence[MeanReading], size: Size) -> tuple[Correction, Terms]:
    terms = _terms_for([mean.reading for mean in means])
    places = np.array([from_centre(mean.reading.place, size) for mean in means])
    wanted = places + np.array([[float(mean.reading.right), float(mean.reading.up)] for mean in means])
    weights = np.sqrt(np.array([mean.count for mean in means], dtype=float))
    free = {Terms.SHIFT: 2, Terms.SHIFT_TURN: 3, Terms.ALL: 5}[terms]
    right, up, turn, across, high = (float(value) for value in solve(places, wanted, weights, free))
    correction = Correction(
        shift=Point(Fraction(f"{right:.6f}"), Fraction(f"{up:.6f}")),
        turn_degrees=round(math.degrees(turn), 6),
        scale_x=round(across, 9),
        scale_y=round(high, 9),
    )
    return correction, terms


def _terms_for(read: Sequence[Reading]) -> Terms:
    """The terms that these marks can tell.

    Raises:
        ReadingsRefused: two marks close together, or three and more in line.
    """
    if len(read) == 1:
        return Terms.SHIFT
    places = np.array([[float(reading.place.x), float(reading.place.y)] for reading in read])
    along, across = np.linalg.svd(places - places.mean(axis=0), compute_uv=False)[:2] / math.sqrt(len(read))
    if 2 * along < LEAST_BASE_MM:
        raise ReadingsRefused(
            f"{named_marks(read)} stand too close together to tell a turn from a shift. "
            "Read marks in different corners of the sheet."
        )
    if len(read) == 2:
        return Terms.SHIFT_TURN
    if across < LEAST_SPREAD_MM:
        raise ReadingsRefused(
            f"{named_marks(read)} stand in one line, which cannot tell turn and scale. "
            "Read a mark beside that line too."
        )
    return Terms.ALL


def expected(place: Point, correction: Correction, size: Size) -> tuple[float, float]:
    """The reading at a mark of a sheet for which this correction is exactly right; mm, right and up."""
    point = np.array([from_centre(place, size)])
    numbers = (
        float(correction.shift.x),
        float(correction.shift.y),
        math.radians(correction.turn_degrees),
        correction.scale_x,
        correction.scale_y,
    )
    right, up = (moved(point, np.array(numbers)) - point)[0]
    return float(right), float(up)


def from_centre(place: Point, size: Size) -> tuple[float, float]:
    """A place relative to the middle of the sheet, mm."""
    return float(place.x - size.width / 2), float(place.y - size.height / 2)


def _residuals(means: Iterable[MeanReading], correction: Correction, size: Size) -> tuple[Residual, ...]:
    return tuple(_residual(mean.reading, correction, size) for mean in means)


def _residual(reading: Reading, correction: Correction, size: Size) -> Residual:
    right, up = expected(reading.place, correction, size)
    return Residual(mark=reading.mark, right=float(reading.right) - right, up=float(reading.up) - up)


def _refuse_misfit(means: list[MeanReading], size: Size, where: str, read_by: ReadBy, *, only_when_sure: bool) -> None:
    """Refuse readings of which one stays further off than is accepted.

    With `only_when_sure`, marks that are too few or too badly placed to tell are passed over: the mean will tell.
    """
    try:
        correction, terms = _fit(means, size)
    except ReadingsRefused:
        if only_when_sure:
            return
        raise
    if only_when_sure and (terms is not Terms.ALL or len(means) == 3):
        return
    worst = max(_residuals(means, correction, size), key=lambda residual: residual.distance)
    if worst.distance <= MOST_LEFT_MM[read_by]:
        return
    if read_by is ReadBy.SCANS:
        raise ReadingsRefused(
            f"The marks{where} do not fit each other: mark {worst.mark} stays {worst.distance:.2f} mm off, and "
            f"{MOST_LEFT_MM[read_by]} mm is the most; sound scans leave 0.04 mm. The sheet did not lie flat, or the "
            "scanner's head jumped. Scan both sides again."
        )
    if len(means) == 4:
        raise ReadingsRefused(
            f"{named_marks([mean.reading for mean in means])}{where} do not fit together: mark {worst.mark} stays "
            f"{worst.distance:.2f} mm off, and {MOST_RESIDUAL_MM} mm is the most. One of them was misread; which, "
            "a fifth mark would tell. Is a plus a minus, or right and up changed over?"
        )
    culprit, others = _odd_one_out(means, size) or _by_all(means, worst.mark, correction, size)
    raise ReadingsRefused(
        f"Mark {culprit.mark}{where} does not fit the others: it reads {show_reading(culprit)}, they say "
        f"{show_reading(others)} there. That is {apart(culprit, others):.2f} mm apart; {MOST_RESIDUAL_MM} mm is the "
        "most. Look at it again: is a plus a minus, or right and up changed over?"
    )


def _odd_one_out(means: list[MeanReading], size: Size) -> tuple[Reading, Reading] | None:
    """The mark without which the others agree best, and what they say there; None when they are too few to tell."""
    if len(means) < 5:
        return None
    found: list[tuple[float, Reading, Reading]] = []
    for mean in means:
        rest = [other for other in means if other is not mean]
        try:
            correction, _ = _fit(rest, size)
        except ReadingsRefused:
            continue
        left = sum(residual.distance**2 for residual in _residuals(rest, correction, size))
        found.append((left, mean.reading, _said_at(mean.reading, correction, size)))
    return min(found, key=lambda one: one[0])[1:] if found else None


def _by_all(means: list[MeanReading], mark: int, correction: Correction, size: Size) -> tuple[Reading, Reading]:
    reading = next(mean.reading for mean in means if mean.reading.mark == mark)
    return reading, _said_at(reading, correction, size)


def _said_at(reading: Reading, correction: Correction, size: Size) -> Reading:
    return reading.moved_to(*expected(reading.place, correction, size))


def _refuse_impossible(correction: Correction) -> None:
    if abs(correction.turn_degrees) > MOST_TURN_DEGREES:
        raise ReadingsRefused(
            f"By these readings the back is turned by {abs(correction.turn_degrees):.1f} degrees; no printer does "
            "that. Did the sheet go in askew? Print the target again."
        )
    for words, scale in ((("wide", "narrow"), correction.scale_x), (("tall", "short"), correction.scale_y)):
        if abs(scale - 1) > MOST_SCALE_OFF:
            raise ReadingsRefused(
                f"By these readings the back is {abs(1 - scale):.1%} too {words[scale > 1]}: front and back were not "
                "both printed at actual size. Set 100 % and print the target again."
            )
