"""The effective settings of one order: today's, or those of an earlier making; always with today's alignment."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from watcher.errors import OrderHeld, SettingsRefused
from watcher.layout.register.alignment import Correction
from watcher.settings.alignment import correction_for, load_alignments
from watcher.settings.card import CardSettings
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.settings.to_toml import SheetSetup

_Table = TypeVar("_Table")


@dataclass(frozen=True, kw_only=True)
class EffectiveSettings(SheetSetup):
    """The card, sheet, printer and cutter that an order is made with, and the printer's correction.

    Attributes:
        correction: what brings backs into register, or None.
        sha256: fingerprint of all of it.
        uncorrected: why a correction that is kept is not used, or None.
        money: what the prices of sheet and printer are in.
    """

    correction: Correction | None = None
    sha256: str = ""
    uncorrected: str | None = None
    money: str = ""


def settings_now(settings: Settings, card: CardSettings, sheet: SheetSettings) -> EffectiveSettings:
    """Give the settings for a card on a sheet as they are now.

    Raises:
        OrderHeld: alignment.toml is damaged, which is never taken for no correction, or does not fit the settings.
    """
    correction = _correction(settings, sheet)
    return EffectiveSettings(
        card=card,
        sheet=sheet,
        printer=settings.printer_for(sheet),
        cutter=settings.cutter_for(sheet),
        correction=correction if card.sides == 2 else None,
        sha256=_fingerprint(settings, card, sheet, correction),
        money=settings.service.money,
    )


def settings_then(settings: Settings, before: SheetSetup) -> EffectiveSettings:
    """Give the settings of an earlier making, with the alignment of today where that fits them.

    Raises:
        OrderHeld: alignment.toml is damaged, or the colour profile of then is not there.
    """
    there = _with(settings, before)
    card, sheet = there.cards[before.card.name], there.sheets[before.sheet.name]
    try:
        return settings_now(there, card, sheet)
    except OrderHeld as misfit:
        try:
            load_alignments(settings)
        except SettingsRefused:
            raise misfit from None
        return EffectiveSettings(
            card=card,
            sheet=sheet,
            printer=there.printer_for(sheet),
            cutter=before.cutter,
            sha256=_fingerprint(there, card, sheet, None),
            uncorrected=str(misfit),
            money=settings.service.money,
        )


def _with(settings: Settings, before: SheetSetup) -> Settings:
    """Give today's settings with the tables of then in them."""
    now = settings.printers.get(before.printer.name)
    printer = before.printer.model_copy(
        update={
            "align": now.align if now else {},
            "click": now.click if now else None,
            "output_profile": _profile(settings, before.printer, now),
            # a ticket from before the turn test knew it does not tell how the stack comes
            "backs_order": before.printer.backs_order or (now.backs_order if now else None),
        }
    )
    card_now = settings.cards.get(before.card.name)
    of_today: dict[str, object] = {"label": None, "bundle": None}
    if card_now is not None:
        of_today = {"label": card_now.label, "bundle": card_now.bundle}
        if card_now.trim == before.card.trim:
            of_today["trim"] = card_now.trim  # the same size, in the unit in which the shop writes it
    card = before.card.model_copy(update=of_today)
    sheet_now = settings.sheets.get(before.sheet.name)
    sheet = before.sheet.model_copy(update={"price": sheet_now.price if sheet_now else None})
    cutters = _put(settings.cutters, before.cutter.name, before.cutter) if before.sheet.cutter else settings.cutters
    return settings.model_copy(
        update={
            "cards": _put(settings.cards, card.name, card),
            "sheets": _put(settings.sheets, sheet.name, sheet),
            "printers": _put(settings.printers, printer.name, printer),
            "cutters": cutters,
        }
    )


def _put(tables: Mapping[str, _Table], name: str, table: _Table) -> dict[str, _Table]:
    return {**tables, name: table}


def _profile(settings: Settings, before: PrinterSettings, now: PrinterSettings | None) -> object:
    """Where the colour profile of then lies: the ticket knows its name alone."""
    if before.output_profile is None:
        return None
    places = [now.output_profile] if now and now.output_profile else []
    for place in [*places, settings.folder / before.output_profile.name]:
        if place.name == before.output_profile.name and place.is_file():
            return place
    raise OrderHeld(
        f"The colour profile {before.output_profile.name}, with which this order was made, is not there any more. Put"
        f" it into {settings.folder.name}, or repeat the order without as_before."
    )


def _correction(settings: Settings, sheet: SheetSettings) -> Correction | None:
    """What brings backs into register on this sheet's printer; a damaged alignment.toml is never taken for none."""
    try:
        return correction_for(settings, settings.printer_for(sheet).name, sheet.name)
    except SettingsRefused as error:
        raise OrderHeld(
            f"{error}. Mend or delete it (print-folder align measures it again), then try again."
        ) from error


def _fingerprint(settings: Settings, card: CardSettings, sheet: SheetSettings, kept: Correction | None) -> str:
    """The fingerprint of the settings; a correction that `print-folder align` keeps is one of them."""
    written = settings.fingerprint(card.name, sheet.name)
    if card.sides == 1 or settings.printer_for(sheet).align_for(sheet) is not None:
        return written
    return written if kept is None else hashlib.sha256(f"{written} {kept}".encode()).hexdigest()
