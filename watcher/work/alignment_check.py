"""Findings about what the printer's correction does to the bleed that can be printed."""

from watcher.layout.model import Layout, LayoutRequest
from watcher.layout.register.alignment import Correction
from watcher.layout.register.corrected import bleed_left
from watcher.terms import Finding, Level, Side
from watcher.units import show_length

CODE = "correction-eats-bleed"


def correction_findings(
    layout: Layout, correction: Correction | None, request: LayoutRequest, printer: str, sheet: str
) -> tuple[Finding, ...]:
    """Warn when the correction takes printable bleed away; hold the order when less than half of it is left.

    Args:
        layout: the solved sheet.
        correction: what its back page is moved by.
        request: what the layout was made from.
        printer: names for the message.
        sheet: likewise.
    """
    if layout.flip is None or correction is None:
        return ()
    before, left = bleed_left(layout, None, request), bleed_left(layout, correction, request)
    if left >= before:
        return ()
    moved = f"The correction of {printer} on {sheet} moves the backs into the rim that the printer cannot print"
    what = (
        f"{show_length(left, request.bleed)} of the {show_length(before, request.bleed)} of bleed around them is left"
        if left >= 0
        else f"the cards themselves are cut off by {show_length(-left, request.bleed)}"
    )
    held = left < before / 2
    way_out = "Use a larger sheet or a smaller card" if held else "Cut with care, or use a larger sheet"
    return (
        Finding(
            level=Level.HOLD if held else Level.WARN,
            code=CODE,
            message=f"{moved}: {what}. {way_out}.",
            side=Side.BACK,
        ),
    )
