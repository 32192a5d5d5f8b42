"""Plan a repeat: the archived order, the settings that it is made with now, and what is to be said about that."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from watcher.archive.archived import Archived, read_archived
from watcher.archive.effective_settings import EffectiveSettings, settings_now, settings_then
from watcher.archive.find import find_archived
from watcher.archive.libraries import libraries_changed
from watcher.archive.same_art import order_fingerprint
from watcher.disk import sha256_of
from watcher.errors import OrderHeld, WrongUsage
from watcher.orders.model import ArtSource, Order, Repeat, refuse_unknown_designs
from watcher.orders.wishes import Wishes
from watcher.records.plain_text import one_line
from watcher.settings.card import CardSettings
from watcher.settings.fields import fold
from watcher.settings.model import Settings
from watcher.settings.sheet import SheetSettings
from watcher.settings.to_toml import SheetSetup, read_settings, what_changed
from watcher.terms import Finding, Level, Side

COMMON = "common-"
_WAY_OUT = "as_before = true in its ticket (--as-before) takes those of then"


@dataclass(frozen=True, kw_only=True)
class RepeatPlan:
    """An order that is made again.

    Attributes:
        order: the claimed order, as the archive has it.
        found: the archived order.
        settings: it is made with these.
        sheets_only: so many sheets and no more, or None.
        said: what has changed since, for people.
        sha256: fingerprint, as for the same art dropped again.
    """

    order: Order
    found: Archived
    settings: EffectiveSettings
    sheets_only: int | None
    said: tuple[Finding, ...]
    sha256: str


def plan_repeat(order: Order, repeat: Repeat, settings: Settings, archive: Path) -> RepeatPlan:
    """Find an archived order and decide how it is made this time.

    Raises:
        OrderHeld: there is no such order, or several, or it cannot be made with today's settings.
    """
    found = find_archived(repeat.order, archive)
    before = _before(found)
    asked = order.wishes
    made_with = _then(found, before, settings) if repeat.as_before else _today(found, before, asked.sheet, settings)
    _check_sides(found, made_with.card)
    sheets_only = None if asked.quantity else repeat.sheets_only or found.sheets_only
    whole = found if found.sheets_only is None else read_archived(archive / found.first) or found
    resolved = replace(
        order,
        name=found.name,
        key=found.key,
        wishes=_resolved(asked, found.wishes, whole.wishes, made_with),
        accepted=order.accepted or (found.accepted and _is_made_alike(found, made_with)),
        overruled=order.overruled or (found.overruled and _is_made_alike(found, made_with)),
        art=found.art,
    )
    refuse_unknown_designs(resolved.wishes.only, resolved.designs)
    return RepeatPlan(
        order=resolved,
        found=found,
        settings=made_with,
        sheets_only=sheets_only,
        said=tuple(_say(found, before, made_with, repeat)),
        sha256=_fingerprint(resolved, made_with.card, sheets_only),
    )


def _resolved(asked: Wishes, found: Wishes, whole: Wishes, made_with: SheetSetup) -> Wishes:
    """Merge the wishes of a repeat: what is asked for now, else what the archived order was made as.

    Args:
        asked: of the job ticket.
        found: of the order that is repeated.
        whole: of the order of which `found` replaces spoiled sheets; where it replaces none, the same as `found`.
        made_with: the settings.
    """
    return replace(
        asked,
        card=made_with.card.name,
        sheet=made_with.sheet.name,
        quantity=asked.quantity or whole.quantity,
        overs=asked.overs or whole.overs,
        note=asked.note or found.note,
        sequence=found.sequence,
        only=asked.only or found.only,
    )


def _is_made_alike(found: Archived, made_with: EffectiveSettings) -> bool:
    return made_with.sha256 == found.settings_sha256 and not _has_other_profile(found, made_with)


def _has_other_profile(found: Archived, made_with: SheetSetup) -> bool:
    """Whether the press has another colour profile under the same name now. A missing one is reported elsewhere."""
    profile = made_with.printer.output_profile
    if profile is None or found.profile_sha256 is None:
        return False
    try:
        return sha256_of(profile) != found.profile_sha256
    except OSError:
        return False


def _before(found: Archived) -> SheetSetup | None:
    try:
        return read_settings(found.settings)
    except ValueError:
        return None


def _then(found: Archived, before: SheetSetup | None, settings: Settings) -> EffectiveSettings:
    if before is None:
        raise OrderHeld(
            f"The ticket of {one_line(found.folder)} in the archive does not tell the settings of then, so that it"
            " cannot be made as before. Repeat it without as_before."
        )
    return settings_then(settings, before)


def _today(found: Archived, before: SheetSetup | None, sheet: str, settings: Settings) -> EffectiveSettings:
    card = next((card for name, card in settings.cards.items() if fold(name) == fold(found.wishes.card)), None)
    if card is None:
        raise OrderHeld(
            f"The card {one_line(found.wishes.card)}, for which {one_line(found.folder)} was made, is no longer in the"
            f" settings. Put it back there; or {_WAY_OUT}."
        )
    return settings_now(settings, card, _sheet(found, before, sheet, settings, card))


def _sheet(
    found: Archived, before: SheetSetup | None, asked: str, settings: Settings, card: CardSettings
) -> SheetSettings:
    """Give the sheet that is asked for now; else the one that the first ticket asked for; else today's of the card."""
    then = found.wishes.sheet
    was_asked_for = then if before is None or fold(before.card.sheet) != fold(then) else None
    try:
        return settings.sheet_for(card, asked or was_asked_for)
    except WrongUsage as error:
        if not asked and before is None:
            return settings.sheet_for(card)
        raise OrderHeld(f"{error} Name one of these in the ticket (sheet = ...).") from error


def _check_sides(found: Archived, card: CardSettings) -> None:
    if len({one.side for one in found.art}) != card.sides:
        had, has = ("one side", "two sides") if card.sides == 2 else ("two sides", "one side")
        raise OrderHeld(
            f"{one_line(found.folder)} was made on {had}, but the card {card.name} has {has} now. Drop the art again;"
            f" or {_WAY_OUT}."
        )


def _say(found: Archived, before: SheetSetup | None, made_with: EffectiveSettings, repeat: Repeat) -> Iterator[Finding]:
    if made_with.uncorrected:
        why = f"it does not fit the settings of then: {made_with.uncorrected}"
        said = f"The backs are not corrected for the printer; {why}"
        yield Finding(level=Level.WARN, code="not-corrected", message=said)
    if _has_other_profile(found, made_with):
        yield _profile_changed(found, made_with)
    if (changed := libraries_changed(found.libraries, found.made_at)) is not None:
        yield changed
    if repeat.as_before:
        return
    changes = what_changed(before, made_with) if before is not None else ()
    if changes or (before is None and made_with.sha256 != found.settings_sha256):
        yield _settings_changed(found, changes)
    elif made_with.sha256 != found.settings_sha256:
        said = (
            f"The backs are placed by the correction of {made_with.printer.name} that holds today, which is another"
            f" than on {found.made_at[:10]}."
        )
        yield Finding(level=Level.NOTE, code="alignment-changed", message=said)
    yield from _common_changed(found, made_with.card)


def _profile_changed(found: Archived, made_with: SheetSetup) -> Finding:
    profile = made_with.printer.output_profile
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
    """Warn where the art that all orders of a card share is another today: a repeat has that of the first time."""
    for side, path in card.common_art.items():
        then = next((one for one in found.art if one.side is side and is_common(one)), None)
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


def _fingerprint(order: Order, card: CardSettings, sheets_only: int | None) -> str:
    """The fingerprint of the order as if its own art were dropped again, without the art that its card shares."""
    common = {one.side: one.sha256 for one in order.art if is_common(one)}
    own = replace(order, art=tuple(one for one in order.art if not is_common(one)))
    return order_fingerprint(own, card, common, sheets_only)


def common_name(side: Side, suffix: str) -> str:
    """How a copy of the art that every order of a card shares is called beside an order's own; `suffix` as `.pdf`."""
    return f"{COMMON}{side}{suffix.lower()}"


def is_common(source: ArtSource) -> bool:
    """Whether archived art is a copy of what every order of its card shares; see `common_name`."""
    return source.file.partition(".")[0] == COMMON + source.side
