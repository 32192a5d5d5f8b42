"""Sentences about corrections and measurements; every length in mm and in inches."""

from datetime import datetime
from fractions import Fraction

from watcher.layout.geometry import Size
from watcher.layout.register.alignment import Correction, Terms
from watcher.layout.register.fit import RegisterFit
from watcher.layout.register.readings import Scatter
from watcher.settings.alignment_file import Alignment
from watcher.terms import Duplex, Flip
from watcher.units import mm_to_inches

_SMALL_MM = Fraction("0.005")  # shown as 0
_SMALL_DEGREES, _SMALL_SCALE = 0.0005, 0.000005
CANNOT_MEND = "No correction can mend that"


def length(mm: float | Fraction) -> str:
    """Write a length: `0.80 mm (0.031 in)`."""
    exact = abs(Fraction(mm))
    return f"{float(round(exact, 2)):.2f} mm ({float(mm_to_inches(exact)):.3f} in)"


def where_backs_land(correction: Correction) -> str:
    """Say where the backs land without a correction: the opposite of how it moves them."""
    ways = _ways(-correction.shift.x, -correction.shift.y, "too far right", "too far left", "too high", "too low")
    return f"The backs land {ways or 'where they should'}."


def describe_correction(correction: Correction) -> str:
    """Say how a correction moves the back: `moved 0.80 mm (0.031 in) right and ...; turned ...; made ...`."""
    parts = [_ways(correction.shift.x, correction.shift.y, "right", "left", "up", "down")]
    parts[0] = f"moved {parts[0]}" if parts[0] else "not moved"
    if abs(correction.turn_degrees) > _SMALL_DEGREES:
        way = "counter-clockwise" if correction.turn_degrees > 0 else "clockwise"
        parts.append(f"turned {abs(correction.turn_degrees):.3f} degrees {way}")
    scales = _scales(correction)
    if scales:
        parts.append(f"made {scales}")
    return ", ".join(parts)


def _ways(right: Fraction, up: Fraction, *names: str) -> str:
    ways = []
    if abs(right) >= _SMALL_MM:
        ways.append(f"{length(right)} {names[0] if right > 0 else names[1]}")
    if abs(up) >= _SMALL_MM:
        ways.append(f"{length(up)} {names[2] if up > 0 else names[3]}")
    return " and ".join(ways)


def _scales(correction: Correction) -> str:
    scales = []
    for scale, larger, smaller in ((correction.scale_x, "wider", "narrower"), (correction.scale_y, "higher", "lower")):
        if abs(scale - 1) > _SMALL_SCALE:
            scales.append(f"{abs(scale - 1) * 100:.3f} % {larger if scale > 1 else smaller}")
    return " and ".join(scales)


def describe_fit(fit: RegisterFit) -> list[str]:
    """Describe the result of a fit, line by line."""
    return [
        where_backs_land(fit.correction),
        f"From now on every back is {describe_correction(fit.correction)}.",
        _terms(fit),
        f"It leaves at most {length(fit.worst.distance)}, at mark {fit.worst.mark}.",
        describe_scatter(fit.scatter, fit.sheets),
    ]


def _terms(fit: RegisterFit) -> str:
    marks = len(fit.residuals)
    if fit.terms is Terms.ALL:
        return f"{_counted(marks, 'mark')} on {_counted(fit.sheets, 'sheet')}: {fit.terms}."
    more = {
        Terms.SHIFT: "A second mark far from it would tell the turn too, three or more also the scale.",
        Terms.SHIFT_TURN: "A third mark, not in line with these, would tell the scale too.",
    }[fit.terms]
    return f"{_counted(marks, 'mark')} on {_counted(fit.sheets, 'sheet')}: only {fit.terms} can be told. {more}"


def describe_scatter(scatter: Scatter | None, sheets: int) -> str:
    """Describe how sheets differ among themselves, which no correction mends."""
    if scatter is None and sheets == 1:
        return (
            "One sheet does not show how sheets differ among themselves, which no correction can mend: print and read "
            "3 to 5 for a correction you can rely on."
        )
    if scatter is None:
        return "How the sheets differ among themselves cannot be seen from averages; no correction can mend that part."
    return (
        f"From sheet to sheet the backs wander: {length(scatter.typical)} as a rule, {length(scatter.worst)} at most, "
        f"at mark {scatter.worst_mark}. {CANNOT_MEND}."
    )


def describe_alignment(alignment: Alignment, now: datetime) -> list[str]:
    """Describe a saved correction, line by line."""
    if alignment.correction is None:
        return [f"Nothing is kept: what there was, was dropped on {alignment.made_at.date()}."]
    days = (now - alignment.made_at).days
    lines = [
        f"Kept since {alignment.made_at.date()} ({age(days)}): every back is "
        f"{describe_correction(alignment.correction)}.",
        f"From {_counted(alignment.marks, 'mark')} on {_counted(alignment.sheets, 'sheet')}, read "
        f"{alignment.read_by}: {alignment.terms}. It leaves at most {length(alignment.residual_mm)}, at mark "
        f"{alignment.residual_mark}.",
    ]
    if alignment.scatter_mm is not None and alignment.scatter_worst_mm is not None:
        lines.append(
            f"From sheet to sheet the backs wander: {length(alignment.scatter_mm)} as a rule, "
            f"{length(alignment.scatter_worst_mm)} at most. {CANNOT_MEND}."
        )
    return lines


def describe_drift(by_mm: float, since: datetime) -> str:
    """Say how far the backs have moved since an earlier correction was measured."""
    return f"Since {since.date()} the backs have moved by up to {length(by_mm)} (at a corner of the sheet)."


def age(days: int) -> str:
    """Say how long ago: `today`, `yesterday`, `3 days ago`."""
    return "today" if days <= 0 else "yesterday" if days == 1 else f"{days} days ago"


def describe_turning(flip: Flip | None, duplex: Duplex) -> str:
    """Say who turns the sheet on which edge: `the printer turns the sheet, flip on the long edge`."""
    who = "the printer turns the sheet" if duplex is Duplex.AUTOMATIC else "you turn the stack"
    return f"{who}, flip on the {flip.words}" if flip else who


def decimal_inches(size: Size) -> str:
    """Write a sheet's size in inches: `8.5 x 11 in`."""
    sides = (f"{float(mm_to_inches(side)):.2f}".rstrip("0").rstrip(".") for side in (size.width, size.height))
    return f"{' x '.join(sides)} in"


def _counted(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def describe_proof(fit: RegisterFit, at_corner_mm: float) -> list[str]:
    """Describe what was measured on sheets that were printed with the correction."""
    sheets = "This sheet was" if fit.sheets == 1 else "These sheets were"
    furthest = max(fit.residuals, key=lambda residual: residual.distance)
    return [
        f"{sheets} printed with the correction in force: a proof, measured to see whether it is right. Nothing is kept "
        "and nothing changed by that.",
        f"{where_backs_land(fit.correction)} At a corner of the sheet they are off by {length(at_corner_mm)} at most; "
        f"mark {furthest.mark} fits worst, by {length(furthest.distance)}.",
    ]
