"""The fingerprint that is equal for the same art again: dropped once more, or repeated out of the archive."""

import hashlib
import json
from collections.abc import Mapping

from watcher.orders.model import OF_ALL, Order
from watcher.settings.card import CardSettings
from watcher.terms import Side


def order_fingerprint(
    order: Order, card: CardSettings, common: Mapping[Side, str], sheets_only: int | None = None
) -> str:
    """Give the fingerprint of an order: its name, card, sheet, quantity, overs and art.

    Args:
        order: with its own art alone.
        card: the settings of its card.
        common: the SHA-256 of the art that every order of the card shares, by side.
        sheets_only: so many sheets in place of spoiled ones, or None.

    Returns:
        A SHA-256, hexadecimal. The journal keeps it for years: what is hashed must not change.
    """
    art: list[tuple[object, ...]] = [
        (one.side, one.sha256, one.page, *([one.design] if order.has_several_designs and one.design != OF_ALL else []))
        for one in order.art
    ]
    art += [(side, digest, None) for side, digest in common.items()]
    wishes = order.wishes
    body: list[object] = [
        order.key,
        wishes.card,
        wishes.sheet,
        wishes.quantity,
        str(wishes.spare),
        sorted(art, key=str),
    ]
    if sheets_only is not None:
        body.append(sheets_only)
    if told_apart := order.told_apart(card):
        body.append(told_apart)
    return hashlib.sha256(json.dumps(body).encode("ascii")).hexdigest()
