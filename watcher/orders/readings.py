"""Settle names that can be read in two ways by what lies beside them: `Front of menu.png`, `back-to-school.png`.

A side word at the end of a name is always one. Elsewhere it counts where the other side lies there too, or where
without it the name would say no side though one is needed; where both readings have something for them, none is chosen.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from watcher.inbox.found import Found
from watcher.inbox.name_parts import NameParts, split_number, written_name
from watcher.orders.held_note import alike
from watcher.orders.model import GroupKey
from watcher.orders.say import inbox_of
from watcher.records.plain_text import one_line
from watcher.settings.card import CardSettings
from watcher.settings.model import Settings
from watcher.settings.names import NameSettings
from watcher.terms import Side

Groups = dict[GroupKey, list[Found]]

# Words by which people tell versions of one file apart; from memory. They matter only where one side lacks its other.
_VERSION = re.compile(
    r"(?:final|finale|last|latest|v|ver|version|rev|neu|new|nouveau|nuevo|nuovo|edit|edited|copy|kopie|copie|copia|print"
    r"|druck|export|exported|rgb|cmyk|hires|draft|entwurf|ok|approved)\s?[0-9]{0,3}",
)
_MOST_LIKELY = 3  # art that is named as what may be meant
OTHER = {Side.FRONT: Side.BACK, Side.BACK: Side.FRONT}


def group_key(folder: str | None, key: str) -> GroupKey:
    """Give what the files of one order have in common: the card folder and the order's name, in any case."""
    return (folder or "").casefold(), key


def group_by_name(found: Sequence[Found], settings: Settings) -> Groups:
    """Put together what lies under one name, each name in the reading that what lies beside it calls for."""
    first = _grouped(found)
    groups = _grouped([_settled(one, first, settings) for one in found])
    _join_halves(groups, settings)
    return groups


def _grouped(found: Sequence[Found]) -> Groups:
    groups: Groups = {}
    for one in found:
        groups.setdefault(group_key(one.file.folder, one.parts.key), []).append(one)
    return groups


def is_two_sided(folder: str | None, settings: Settings) -> bool:
    """Whether the card of a folder wants a front and a back of each order, as far as that is known without a ticket."""
    wanted = (folder or settings.defaults.card).casefold()
    card = next((card for name, card in settings.cards.items() if name.casefold() == wanted), None)
    if card is None and len(settings.cards) == 1:
        card = next(iter(settings.cards.values()))
    return card is not None and _wants_both(card)


def _wants_both(card: CardSettings) -> bool:
    return card.sides == 2 and card.common_front is None and card.common_back is None


# -- one name, two readings --------------------------------------------------------------------------------------------


def _settled(found: Found, groups: Mapping[GroupKey, list[Found]], settings: Settings) -> Found:
    """A find in the reading that what lies there calls for."""
    plain, side = found.parts.plain, found.parts.side
    if plain is None or side is None:
        return found
    as_side = [other for other in groups[group_key(found.file.folder, found.parts.key)] if other is not found]
    partners = [other for other in as_side if other.parts.side is OTHER[side]]
    rivals = [other for other in as_side if other.parts.side is side and other.parts.plain is None]
    others = groups.get(group_key(found.file.folder, plain.key), [])
    if partners and others and not rivals:
        return replace(found, parts=replace(plain, fault=_two_readings(found.parts, plain, found.shown, settings)))
    if partners and not rivals:
        return found
    if others or rivals or not is_two_sided(found.file.folder, settings):
        return replace(found, parts=plain)
    return found


def _two_readings(parts: NameParts, plain: NameParts, shown: str, settings: Settings) -> str:
    words = settings.names
    assert parts.side is not None
    return (
        f"{one_line(shown)} may be the {parts.side} of {one_line(parts.order)}, or belong to {one_line(plain.order)};"
        f" name it {written_name(parts, words, quantity=parts.quantity)} or"
        f" {written_name(plain, words, side=parts.side, quantity=parts.quantity)}"
    )


# -- halves whose names differ a little --------------------------------------------------------------------------------


@lru_cache(maxsize=20_000)  # asked about the same names at every reading of the inbox
def loose_key(key: str) -> str:
    """What is left of a name without gaps that differ and words that tell versions: `menu-final2` is `menu`."""
    words = alike(key).split(" ")
    kept = [word for word in words if not _VERSION.fullmatch(word)]
    return " ".join(kept or words)


def _join_halves(groups: Groups, settings: Settings) -> None:
    """Put a front and a back together that lack each other, where no other could be meant."""
    for keys in alike_names(groups).values():
        sides = {key: _only_side(groups[key]) for key in keys}
        fronts = [key for key in keys if sides[key] is Side.FRONT]
        backs = [key for key in keys if sides[key] is Side.BACK]
        if len(keys) == 2 and fronts and backs and is_two_sided(keys[0][0], settings):
            parts = groups[fronts[0]][0].parts
            joined = [_under(found, parts) for found in groups.pop(backs[0])]
            groups[fronts[0]] += joined


def alike_names(groups: Groups) -> dict[GroupKey, list[GroupKey]]:
    """The names that differ only a little, by what they have in common; names that no other is like are left out."""
    found: dict[GroupKey, list[GroupKey]] = {}
    for key in groups:
        found.setdefault((key[0], loose_key(key[1])), []).append(key)
    return {common: keys for common, keys in found.items() if len(keys) > 1}


def _only_side(members: Sequence[Found]) -> Side | None:
    """The side of which all art of a name is; None where there are both, or art that says none."""
    sides = {found.parts.side for found in members if not found.is_ticket}
    return sides.pop() if len(sides) == 1 else None


def _under(found: Found, parts: NameParts) -> Found:
    return replace(found, parts=replace(found.parts, order=parts.order, key=parts.key, plain=None))


def others_like(
    key: GroupKey, side: Side, groups: Groups, alike_in: Mapping[GroupKey, Sequence[GroupKey]]
) -> list[Found]:
    """The lone art of the other side whose name differs a little, where it is not clear which of it is meant.

    Args:
        key: the name of the art.
        side: which it is.
        groups: what lies under each name.
        alike_in: what `alike_names` gives for them.
    """
    like = [other for other in alike_in.get((key[0], loose_key(key[1])), ()) if other != key and other in groups]
    halves = [groups[other] for other in like if _only_side(groups[other]) is OTHER[side]]
    return [next(found for found in half if not found.is_ticket) for half in halves]


# -- what would settle it ----------------------------------------------------------------------------------------------


def say_no_side(unsaid: Sequence[Found], beside: Sequence[Found], words: NameSettings) -> str:
    """Say that art does not say its side, and the names that would settle it.

    Args:
        unsaid: the art, one or two of it.
        beside: the other art of the order.
        words: the side words.
    """
    if len(unsaid) == 2:
        return _say_two(unsaid[0], unsaid[1], words)
    found = unsaid[0]
    front, back = (_name_for(found, side, words) for side in (Side.FRONT, Side.BACK))
    if {Side.FRONT, Side.BACK} <= {other.parts.side for other in beside}:
        return (
            f"{found.shown} does not say which side it is, and the front and the back are there already. Take it away;"
            f" or take the one away that it is to stand for, and name it {front} or {back}."
        )
    there = next((other for other in beside if other.parts.side is not None), None)
    if there is not None and there.parts.side is not None:
        missing = _name_for(found, OTHER[there.parts.side], words)
        return (
            f"{found.shown} does not say which side it is, and {there.shown} is the {there.parts.side}. Name it"
            f" {missing}; or take it away, and put the right {OTHER[there.parts.side]} there as {missing}."
        )
    return f"{found.shown} does not say which side it is. Name it {front} or {back}, and put the other one beside it."


def _say_two(one: Found, other: Found, words: NameSettings) -> str:
    shared = replace(one.parts, order=_shared_name(one, other))
    front, back = (_name_for(replace(one, parts=shared), side, words) for side in (Side.FRONT, Side.BACK))
    said = (
        f"{one.shown} and {other.shown} do not say which side they are. When they are one card, name the front {front}"
        f" and the back {back}."
    )
    if one.container is not None:
        return said
    names = [_name_for(found, side, words) for side in (Side.FRONT, Side.BACK) for found in (one, other)]
    return (
        f"{said} When they are two cards, name them {names[0]} and {names[1]}, and put {names[2]} and {names[3]} beside"
        " them."
    )


def _name_for(found: Found, side: Side, words: NameSettings) -> str:
    """The name that says which side of its order a find is; in a folder of its own the side word alone."""
    if found.container is not None:
        word = words.front[0] if side is Side.FRONT else words.back[0]
        return f"{word}.{found.parts.extension}" if found.parts.extension else word
    return written_name(found.parts, words, side=side, quantity=found.parts.quantity)


def _shared_name(one: Found, other: Found) -> str:
    first, second = _base(one.parts.order), _base(other.parts.order)
    return first if first and alike(first) == alike(second) else one.parts.order


def _base(order: str) -> str:
    """A name less the number or letter at its end that tells two files apart."""
    split = split_number(order)
    return split[0] if split else re.sub(r"(?:[0-9]{1,4}|[\s_.\-][abAB])\Z", "", order)


def name_in_common(found: Found) -> object:
    """What two pictures that say no side share when they look like the two sides of a card; else what none shares."""
    base = _base(found.parts.order)
    return alike(base) if base != found.parts.order and base.strip() else found.file.path


def _as_half_of(one: Found, there: Found, words: NameSettings) -> str:
    """The name by which a half goes with another, whose name differs a little."""
    return written_name(replace(there.parts, order=one.parts.order), words, quantity=there.parts.quantity)


def _quoted(name: str) -> str:
    return f'"{name}"' if " " in name else name


def say_missing(side: Side, there: Found, likely: Sequence[Found], words: NameSettings) -> str:
    """Say under which name the side that is missing is sure to find the one that is there.

    Args:
        side: which is missing.
        there: art of the other side.
        likely: art of the missing side under other names that may be meant.
        words: the side words.
    """
    said = f"Put the {side} into {inbox_of(there.file.folder)} as {_name_for(there, side, words)}"
    if there.container is not None:
        said = f"Put the {side} into this folder as {_name_for(there, side, words)}, and the folder into the inbox"
    if likely:
        names = " or ".join(
            f"{_quoted(one.shown)} (then name this one {_as_half_of(one, there, words)})"
            for one in likely[:_MOST_LIKELY]
        )
        return f"{said}. Which one it goes with is not clear: {names}."
    if there.parts.plain is not None:
        plain = there.parts.plain
        whole = [written_name(plain, words, side=one, quantity=plain.quantity) for one in (Side.FRONT, Side.BACK)]
        return (
            f"{said}. When this is no {there.parts.side}, but a card called {one_line(plain.order)}, name its two sides"
            f" {whole[0]} and {whole[1]}."
        )
    return f"{said}, or delete this one."
