"""What a repeat comes to: the archived order, the settings it is made with now, and what is to be said about that."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from watcher.archive.archived import Archived, read_archived
from watcher.archive.effective_settings import InForce, as_before, in_force
from watcher.archive.find import find_archived
from watcher.art.model import Finding
from watcher.disk import sha256_of
from watcher.errors import OrderHeld, WrongUsage
from watcher.orders.model import OF_ALL, ArtSource, Order, Repeat, refuse_unknown_designs
from watcher.orders.pairing import common_art
from watcher.records.plain_text import one_line
from watcher.settings.fields import fold
from watcher.settings.model import CardSettings, Settings, SheetSettings
from watcher.settings.written import Shaping, read_settings, what_changed
from watcher.terms import Level, Sequencing

COMMON = "common-"  # how the files are called in the archive that every order of a card shares
_WAY_OUT = "as_before = true in its ticket (--as-before) takes those of then"


@dataclass(frozen=True, kw_only=True)
class Again:
    """An order that is made again.

    Attributes:
        order: the claimed order, as the archive has it.
        found: the archived order.
        in_force: the settings it is made with.
        sheets_only: so many sheets and no more, or None.
        said: what has changed since, for people.
        sha256: fingerprint, as for the same art dropped again.
    """

    order: Order
    found: Archived
    in_force: InForce
    sheets_only: int | None
    said: tuple[Finding, ...]
    sha256: str


def plan_again(order: Order, repeat: Repeat, settings: Settings, archive: Path) -> Again:
    """Look an order up and settle how it is made this time.

    Raises:
        OrderHeld: there is no such order, or several, or it cannot be made with today's settings.
    """
    found = find_archived(repeat.order, archive)
    before = _before(found)
    force = _as_before(found, before, settings) if repeat.as_before else _today(found, before, repeat, settings)
    _check_sides(found, force.shaping.card)
    sheets_only = None if repeat.quantity else repeat.sheets_only or found.sheets_only
    whole = found if found.sheets_only is None else read_archived(archive / found.first) or found
    resolved = replace(
        order,
        name=found.name,
        key=found.key,
        card=force.shaping.card.name,
        sheet=force.shaping.sheet.name,
        quantity=repeat.quantity or whole.quantity,
        overs=repeat.overs or whole.overs,
        note=order.note or found.note,
        accepted=order.accepted or (found.accepted and _is_made_alike(found, force)),
        overruled=order.overruled or (found.overruled and _is_made_alike(found, force)),
        art=found.art,
        sequence=found.sequence,
        only=repeat.only or found.only,
    )
    refuse_unknown_designs(resolved.only, resolved.designs)
    return Again(
        order=resolved,
        found=found,
        in_force=force,
        sheets_only=sheets_only,
        said=tuple(_say(found, before, force, repeat)),
        sha256=_fingerprint(resolved, sheets_only, force.shaping.card.sequence),
    )


def _is_made_alike(found: Archived, force: InForce) -> bool:
    return force.sha256 == found.settings_sha256 and not _has_other_profile(found, force)


def _has_other_profile(found: Archived, force: InForce) -> bool:
    """Whether the press has another colour profile of the same name now; a missing one is told when it is needed."""
    profile = force.shaping.printer.output_profile
    if profile is None or found.profile_sha256 is None:
        return False
    try:
        return sha256_of(profile) != found.profile_sha256
    except OSError:
        return False


def _before(found: Archived) -> Shaping | None:
    try:
        return read_settings(found.settings)
    except ValueError:
        return None


def _as_before(found: Archived, before: Shaping | None, settings: Settings) -> InForce:
    if before is None:
        raise OrderHeld(
            f"The ticket of {one_line(found.folder)} in the archive does not tell the settings of then, so that it"
            " cannot be made as before. Repeat it without as_before."
        )
    return as_before(settings, before)


def _today(found: Archived, before: Shaping | None, repeat: Repeat, settings: Settings) -> InForce:
    card = next((card for name, card in settings.cards.items() if fold(name) == fold(found.card)), None)
    if card is None:
        raise OrderHeld(
            f"The card {one_line(found.card)}, for which {one_line(found.folder)} was made, is no longer in the"
            f" settings. Put it back there; or {_WAY_OUT}."
        )
    return in_force(settings, card, _sheet(found, before, repeat, settings, card))


def _sheet(
    found: Archived, before: Shaping | None, repeat: Repeat, settings: Settings, card: CardSettings
) -> SheetSettings:
    """The sheet asked for now; else the one that the first ticket asked for; else the card's, as it is today."""
    was_asked_for = found.sheet if before is None or fold(before.card.sheet) != fold(found.sheet) else None
    try:
        return settings.sheet_for(card, repeat.sheet or was_asked_for)
    except WrongUsage as error:
        if repeat.sheet is None and before is None:
            return settings.sheet_for(card)
        raise OrderHeld(f"{error} Name one of these in the ticket (sheet = ...).") from error


def _check_sides(found: Archived, card: CardSettings) -> None:
    if len({one.side for one in found.art}) != card.sides:
        had, has = ("one side", "two sides") if card.sides == 2 else ("two sides", "one side")
        raise OrderHeld(
            f"{one_line(found.folder)} was made on {had}, but the card {card.name} has {has} now. Drop the art again;"
            f" or {_WAY_OUT}."
        )


def _say(found: Archived, before: Shaping | None, force: InForce, repeat: Repeat) -> Iterator[Finding]:
    if force.uncorrected:
        said = f"The backs are not corrected for the printer; it does not fit the settings of then: {force.uncorrected}"
        yield Finding(level=Level.WARN, code="not-corrected", message=said)
    if _has_other_profile(found, force):
        yield _profile_changed(found, force)
    if repeat.as_before:
        return
    changes = what_changed(before, force.shaping) if before is not None else ()
    if changes or (before is None and force.sha256 != found.settings_sha256):
        yield _settings_changed(found, changes)
    elif force.sha256 != found.settings_sha256:
        said = (
            f"The backs are placed by the correction of {force.shaping.printer.name} that holds today, which is another"
            f" than on {found.made_at[:10]}."
        )
        yield Finding(level=Level.NOTE, code="alignment-changed", message=said)
    yield from _common_changed(found, force.shaping.card)


def _profile_changed(found: Archived, force: InForce) -> Finding:
    profile = force.shaping.printer.output_profile
    said = (
        f"The colour profile {profile.name if profile else ''} is not the one with which {one_line(found.folder)} was"
        f" made on {found.made_at[:10]}, though it is called the same. These sheets have that of today. For that of"
        " then, put it back in its place and repeat the order."
    )
    return Finding(level=Level.WARN, code="profile-changed", message=said)


def _settings_changed(found: Archived, changes: tuple[str, ...]) -> Finding:
    what = "; ".join(map(one_line, changes)) or "which ones, its early ticket does not tell"
    said = (
        f"The settings have changed since {one_line(found.folder)} was made on {found.made_at[:10]}: {what}. These"
        f" sheets are made with today's; {_WAY_OUT}."
    )
    return Finding(level=Level.WARN, code="settings-changed", message=said)


def _common_changed(found: Archived, card: CardSettings) -> Iterator[Finding]:
    """Art that every order of a card shares may be another today: a repeat has that of the first time."""
    for side, path in common_art(card).items():
        then = next((one for one in found.art if one.side is side and one.file.startswith(COMMON)), None)
        try:
            is_other = then is not None and sha256_of(path) != then.sha256
        except OSError:
            continue  # it is not needed
        if is_other:
            said = (
                f"The {side} that all {card.name} cards share has changed since {found.made_at[:10]}; these sheets have"
                " that of then. For today's, drop the rest of the art again."
            )
            yield Finding(level=Level.WARN, code="common-art-changed", message=said, side=side)


def _fingerprint(order: Order, sheets_only: int | None, sequence: Sequencing) -> str:
    """The same as for the same art dropped again, so that a repeat and that are known as one."""
    several = len(order.designs) > 1
    numbers = [[one.design] if several and one.design != OF_ALL else [] for one in order.art]
    told = ((one.side, one.sha256, _page(one), *number) for one, number in zip(order.art, numbers, strict=True))
    art = sorted(told, key=str)
    body = [order.key, order.card, order.sheet, order.quantity, order.overs, art]
    more: list[object] = [] if sheets_only is None else [sheets_only]
    if told_apart := order.told_apart(sequence):
        more.append(told_apart)
    return hashlib.sha256(json.dumps([*body, *more]).encode("ascii")).hexdigest()


def _page(source: ArtSource) -> int | None:
    return None if source.file.startswith(COMMON) else source.page
