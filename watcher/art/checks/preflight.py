"""The checks of a side's art: small functions with one signature, in one list.

To add a check, write a function `(face, card, printer) -> findings` and name it in `FACE_CHECKS`, or one that needs
both sides, `(front, back, card) -> findings`, in `PAIR_CHECKS`. What is checked before there is a fit (shape, bleed) is
in `fit`; overprint and hidden layers of PDF art are taken as they are.
"""

from collections.abc import Callable, Iterable, Sequence
from itertools import chain

from watcher.art.checks import colour as check_colour
from watcher.art.checks import corner as check_corner
from watcher.art.checks import edge as check_edge
from watcher.art.checks import page as check_page
from watcher.art.checks import sides as check_sides
from watcher.art.checks import size as check_size
from watcher.art.model import CardFace
from watcher.settings.card import CardSettings
from watcher.settings.printer import PrinterSettings
from watcher.terms import Finding, Side

FaceCheck = Callable[[CardFace, CardSettings, PrinterSettings], Iterable[Finding]]
PairCheck = Callable[[CardFace, CardFace, CardSettings], Iterable[Finding]]

ORDINARY = PrinterSettings(name="printer")


def check_pair(faces: Sequence[CardFace], card: CardSettings) -> tuple[Finding, ...]:
    """Run the checks of both sides together; nothing is said of a side alone."""
    sides = {face.art.side: face for face in faces}
    if Side.FRONT not in sides or Side.BACK not in sides:
        return ()
    pair = (check(sides[Side.FRONT], sides[Side.BACK], card) for check in PAIR_CHECKS)
    return tuple(chain.from_iterable(pair))


def check_face(face: CardFace, card: CardSettings, printer: PrinterSettings = ORDINARY) -> tuple[Finding, ...]:
    """Run the checks of a single side."""
    return tuple(chain.from_iterable(check(face, card, printer) for check in FACE_CHECKS))


FACE_CHECKS: list[FaceCheck] = [
    check_size.resolution,
    check_size.soft_pictures,
    check_size.small_page,
    check_edge.blank,
    check_edge.white_frame,
    check_edge.narrow_border,
    check_edge.safe_zone,
    check_corner.rounded_corners,
    check_colour.flattened,
    check_colour.not_rgb,
    check_colour.not_srgb,
    check_colour.too_much_ink,
    check_page.loose_fonts,
    check_page.annotations_on_page,
]
PAIR_CHECKS: list[PairCheck] = [check_sides.same_shape, check_sides.same_size, check_sides.same_picture]
