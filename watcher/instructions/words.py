"""The words that all parts of the instructions share: lengths and days as people say them, cautions at the cutter.

Mark-up is `<b>` alone; text that comes from people is escaped by `plain`.
"""

import datetime
from fractions import Fraction
from xml.sax.saxutils import escape

from watcher.layout.geometry import Size
from watcher.settings.papers import is_inch_paper
from watcher.terms import CutterKind
from watcher.units import Length, mm_to_inches, show_mm, show_size

_LOCAL_RULES = "Local safety rules come first; what stands here tells order and measures only."
CUTTER_CAUTIONS = {
    # Sources: 29 CFR 1910.212(a)(3)(ii), EN 1010-3, WorkSafe NZ fact sheet WKS-6
    CutterKind.GUILLOTINE: (
        "Follow the cutter's own manual. Guards, clamp and two-hand control stay on. One person at the machine. Hands "
        f"never under clamp or knife. Trained operators only. {_LOCAL_RULES}"
    ),
    # Common practice, no source
    CutterKind.TRIMMER: (
        "Follow its own manual. Guard or rail down on the paper first; fingers behind it, never in the blade's way. "
        f"Sharp blade, few sheets, firm table; close or lock the blade when you let go of it. {_LOCAL_RULES}"
    ),
    CutterKind.SCISSORS: (
        "A knife only along a steel ruler with a raised edge, on a cutting mat: fingers behind that edge, the blade "
        "drawn past your hand, never towards it. A sharp blade needs no force. Close the scissors and cover the blade "
        f"when you put them down. {_LOCAL_RULES}"
    ),
}
NO_BREAK = "\N{NO-BREAK SPACE}"
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
FINEST_INCH = 32  # rulers of a print shop end at 1/32 in


def plain(text: str) -> str:
    """Put text from people on one line and escape it for mark-up."""
    return escape(" ".join(text.split()))


def inches_to_32nds(mm: Fraction) -> str:
    """A length as a ruler reads it: `7 3/4 in`, `about 1/8 in` when it lies between two lines."""
    exact = mm_to_inches(mm)
    nearest = Fraction(round(exact * FINEST_INCH), FINEST_INCH)
    whole, part = divmod(nearest, 1)
    digits = " ".join(str(number) for number in (whole, part) if number) or "0"
    return f"{digits} in" if nearest == exact else f"about {digits} in"


def both_units(mm: Fraction, *, inches_first: bool = False) -> str:
    """`19.05 mm (3/4 in)`, or `3/4 in (19.05 mm)`."""
    metric, inches = f"{show_mm(mm)} mm", inches_to_32nds(mm)
    return f"{inches} ({metric})" if inches_first else f"{metric} ({inches})"


def size_in_both(size: Size, *, inches_first: bool = False) -> str:
    """`215.9 x 279.4 mm (8 1/2 x 11 in)`, or `8 1/2 x 11 in (215.9 x 279.4 mm)`."""
    sides = [inches_to_32nds(size.width), inches_to_32nds(size.height)]
    about = "about " if any(side.startswith("about") for side in sides) else ""
    bare = " x ".join(side.removeprefix("about ").removesuffix(" in") for side in sides)
    metric, inches = show_size(size.width, size.height), f"{about}{bare} in"
    return f"{inches} ({metric})" if inches_first else f"{metric} ({inches})"


def is_given_in_inches(size: Size) -> bool:
    """Whether the settings give this size in inches, or by the name of an inch paper."""
    units = {side.unit for side in (size.width, size.height) if isinstance(side, Length)}
    return "in" in units if units else is_inch_paper(size)


def day(date: datetime.date) -> str:
    """`Thursday 2026-12-24`, whatever language the machine speaks."""
    return f"{_WEEKDAYS[date.weekday()]} {date.isoformat()}"
