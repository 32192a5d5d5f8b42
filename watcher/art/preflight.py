"""The checks a good prepress hand makes on each side: small functions with one signature, in one list.

To add a check, write a function `(face, card) -> findings` and name it in `FACE_CHECKS`, or one that needs both sides,
`(front, back, card) -> findings`, in `PAIR_CHECKS`.
"""

from collections.abc import Callable, Iterable, Sequence
from itertools import chain

from watcher.art.fit import SAME_SHAPE, shape_off, trim_box
from watcher.art.fit_words import GOOD_PPI, good_pixels, show_extent, show_shape
from watcher.art.model import CardFace, Finding
from watcher.settings.model import CardSettings
from watcher.terms import Level, Side
from watcher.units import show_size

FaceCheck = Callable[[CardFace, CardSettings], Iterable[Finding]]
PairCheck = Callable[[CardFace, CardFace, CardSettings], Iterable[Finding]]


def check_faces(faces: Sequence[CardFace], card: CardSettings) -> tuple[Finding, ...]:
    """What every check says of one side or of both, in the order of the lists."""
    single = chain.from_iterable(check_face(face, card) for face in faces)
    sides = {face.art.side: face for face in faces}
    if Side.FRONT not in sides or Side.BACK not in sides:
        return tuple(single)
    pair = chain.from_iterable(check(sides[Side.FRONT], sides[Side.BACK], card) for check in PAIR_CHECKS)
    return (*single, *pair)


def check_face(face: CardFace, card: CardSettings) -> tuple[Finding, ...]:
    """What the checks of a single side say."""
    return tuple(chain.from_iterable(check(face, card) for check in FACE_CHECKS))


def resolution(face: CardFace, card: CardSettings) -> Iterable[Finding]:
    """Too few pixels for the size: set aside below `hold_ppi`, said below `warn_ppi`. A PDF page has no pixels."""
    ppi = face.fit.ppi
    if ppi is None or ppi >= card.warn_ppi:
        return
    held = ppi < card.hold_ppi
    needed = card.hold_ppi if held else card.warn_ppi
    with_bleed = bool(card.bleed) and face.fit.box.contains(trim_box(card).grown(card.bleed))
    size = card.trim.grown(card.bleed) if with_bleed else card.trim
    said = (
        f"{face.art.file} is {show_extent(face.art)}, {int(ppi)} ppi at {show_size(size.width, size.height)}"
        f"{' with bleed' if with_bleed else ''}; {needed} ppi {'is needed' if held else 'is wanted'}. "
        f"Export it at {good_pixels(size)} ({GOOD_PPI} ppi)."
    )
    yield Finding(level=Level.HOLD if held else Level.WARN, code="low-resolution", message=said, side=face.art.side)


def same_shape(front: CardFace, back: CardFace, card: CardSettings) -> Iterable[Finding]:
    """Front and back of two shapes: most likely one was exported with bleed and the other without."""
    one, other = front.art, back.art
    if shape_off(one.extent, other.extent) <= SAME_SHAPE:
        return
    said = (
        f"{one.file} ({show_extent(one)}, shape {show_shape(one.extent)}) and "
        f"{other.file} ({show_extent(other)}, shape {show_shape(other.extent)}) are not of one shape. "
        "Look whether one of them lacks its bleed."
    )
    yield Finding(level=Level.WARN, code="sides-differ", message=said)


FACE_CHECKS: list[FaceCheck] = [resolution]
PAIR_CHECKS: list[PairCheck] = [same_shape]
