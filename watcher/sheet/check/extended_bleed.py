"""Tell how much of a card can be compared where its edges are extended into the bleed."""

from watcher.art.model import Fit
from watcher.layout.geometry import Box, Size
from watcher.sheet.draw.bleed import REACH_MM
from watcher.terms import MakeBleed


def comparable_box(fit: Fit, trim: Size) -> Box:
    """The part of the card that looks as its art says, mm; it ends where an edge is extended.

    The outermost pixels or the outermost 0.1 mm alone run out over the bleed, and no picture of a few pixels a mm tells
    what they look like. Nor does it in the art's outermost `REACH_MM`, for the extended edge reaches under the art
    there: it shows through a page that leaves its ground bare, as a pattern without one does.
    """
    box, bleed = fit.box, fit.bleed
    beyond = bleed + REACH_MM
    left, bottom, right, top = -beyond, -beyond, trim.width + beyond, trim.height + beyond
    if fit.make_bleed is MakeBleed.EXTEND:
        left = box.left + REACH_MM if -bleed < box.left <= 0 else left
        bottom = box.bottom + REACH_MM if -bleed < box.bottom <= 0 else bottom
        right = box.right - REACH_MM if trim.width <= box.right < trim.width + bleed else right
        top = box.top - REACH_MM if trim.height <= box.top < trim.height + bleed else top
    return Box(left, bottom, right, top)
