"""`ORDER_card.png`: the card as it will be cut, front and back side by side, for the customer's yes."""

from collections.abc import Sequence

from watcher.outbox.preview import as_png, side_by_side
from watcher.sheet.render import Rendered

CARD_SUFFIX = "_card.png"
_TABLE = (232, 232, 232)  # a card with white edges must be seen to end


def card_png(cards: Sequence[Rendered]) -> bytes:
    """A PNG (RGB) of the trimmed faces, upright, front left; the same bytes for the same faces.

    Raises:
        ValueError: there is no face.
    """
    return as_png(side_by_side(cards, _TABLE))
