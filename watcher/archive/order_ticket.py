"""Write `ORDER_ticket.toml`: everything that was decided about an order, for machines. Its keys are stable.

`ticket_reader` reads it back.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any

import tomli_w

from watcher.archive.effective_settings import EffectiveSettings
from watcher.archive.libraries import shaping_libraries
from watcher.archive.ticket_file import NO_FLIP, PrintFile
from watcher.art.model import CardFace
from watcher.layout.model import CutPlan, Layout, Place, Stroke
from watcher.orders.cost import Cost
from watcher.orders.model import ArtSource, DesignPlaces, Order
from watcher.orders.quantity import SheetCount
from watcher.records.plain_text import as_utf8
from watcher.settings.card import CardSettings
from watcher.settings.to_toml import write_settings
from watcher.settings.values import show_exact
from watcher.terms import Finding, PageOrder

WASTE = "waste"


@dataclass(frozen=True, kw_only=True)
class RunPart:
    """An order's part in a gang run.

    Attributes:
        run: name of the run's folder in the outbox.
        orders: names of all orders of the run.
        layouts: how many sheets are printed of each layout, in their order.
        places: its own places, each with the layout that it lies on, counted from 1.
        printed: how many of its cards the run prints.
    """

    run: str
    orders: tuple[str, ...]
    layouts: tuple[int, ...]
    places: tuple[tuple[int, Place], ...]
    printed: int

    @property
    def run_sheets(self) -> int:
        """Sheets of the whole run."""
        return sum(self.layouts)

    @property
    def sheets(self) -> int:
        """Sheets on which the order lies."""
        return sum(self.layouts[layout - 1] for layout in {layout for layout, _ in self.places})

    @property
    def up(self) -> int:
        """The most of its cards that lie on one sheet."""
        on = [layout for layout, _ in self.places]
        return max(on.count(layout) for layout in on)


@dataclass(frozen=True, kw_only=True)
class Decided:
    """Everything that was decided about an order and stands in its ticket.

    Attributes:
        folder: the name of the order's folder.
        order: what was asked for.
        settings: what it was made with; its correction counts where backs are printed.
        made_at: ISO 8601 local time; the one value that differs between two makings.
        software: program and version.
        order_sha256: equal for "the same art again": see `same_art.order_fingerprint`.
        cuts: how the sheet is parted, or None where that is not told.
        printed_as, printed_on: name and day on the sheets: of the first making, which this one is where they are None.
        repeat_of: the folder of the order's first making, when this is another one.
        sheets_only: see `orders.model.Repeat`.
        overruled: the check by sight found fault with the sheets, and a person had them printed all the same.
        profile_sha256: of the press's colour profile, or None where there is none.
        run: its part in the gang run that it shares sheets in, or None.
        designs: which design lies where; None for an order of one.
        printing: its files of sheets, or those of its run, in the order in which they are printed.
        backs_order: how different sheets lie in the file of the backs, where a person puts the stack back; else None.
        small_picture: the front, see `art.small_picture`; empty for none.
        cost: of its sheets, or of its share in those of a run; None where no price is known.
    """

    folder: str
    order: Order
    settings: EffectiveSettings
    count: SheetCount
    layout: Layout
    faces: Sequence[CardFace]
    sources: Sequence[ArtSource]
    findings: Sequence[Finding]
    made_at: str
    software: str
    order_sha256: str
    cuts: CutPlan | None = None
    printed_as: str | None = None
    printed_on: str | None = None
    repeat_of: str | None = None
    sheets_only: int | None = None
    overruled: bool = False
    profile_sha256: str | None = None
    run: RunPart | None = None
    designs: DesignPlaces | None = None
    printing: tuple[PrintFile, ...] = ()
    backs_order: PageOrder | None = None
    small_picture: str = ""
    cost: Cost | None = None


def ticket_text(decided: Decided) -> bytes:
    """Write a ticket; gives the content of its file, TOML in UTF-8."""
    card = decided.settings.card
    body: dict[str, Any] = {
        "order": decided.folder,
        "name": decided.order.name,
        "card": card.name,
        "quantity": decided.count.quantity,
        "overs": decided.count.overs_cards,
        **_designs(decided.designs),
        "up": decided.run.up if decided.run else decided.layout.up,
        "sheets": decided.run.sheets if decided.run else decided.count.total,
        "waste_percent": round(float(decided.layout.waste * 100), 2),
        "overs_asked": str(decided.order.wishes.spare),
        "flip": str(decided.layout.flip or NO_FLIP),
        "duplex": str(decided.settings.printer.duplex),
        "backs": str(card.opened_out.backs),
        "made_at": decided.made_at,
        "software": decided.software,
        "libraries": dict(shaping_libraries()),
        "settings_sha256": decided.settings.sha256,
        "order_sha256": decided.order_sha256,
        "printed_as": decided.printed_as or decided.folder,
        "printed_on": decided.printed_on or decided.made_at[:10],
        **_said(decided),
        **(_run(decided.run) if decided.run else {}),
        **({"cost": _cost(decided.cost)} if decided.cost else {}),
        "sheet": {
            "name": decided.settings.sheet.name,
            "width_mm": _mm(decided.layout.sheet.width),
            "height_mm": _mm(decided.layout.sheet.height),
        },
        "card_size": {
            "trim_width_mm": _mm(decided.layout.trim.width),
            "trim_height_mm": _mm(decided.layout.trim.height),
            "bleed_mm": _mm(decided.layout.bleed),
            **_fold(card),
        },
        "art": [
            _art(face, source, several=decided.designs is not None)
            for face, source in zip(decided.faces, decided.sources, strict=True)
        ],
        "places": _places(decided),
        **_forms(decided.designs),
        **({"print": [asdict(file) for file in decided.printing]} if decided.printing else {}),
        **({"cuts": [_stroke(stroke) for stroke in decided.cuts.strokes]} if decided.cuts else {}),
        "findings": [
            {"level": str(finding.level), "code": finding.code, "message": finding.message}
            | ({"side": str(finding.side)} if finding.side else {})
            for finding in decided.findings
        ],
        "settings": _settings(decided),
        **({"picture": {"jpeg": decided.small_picture}} if decided.small_picture else {}),
    }
    return tomli_w.dumps(_storable(body)).encode("utf-8")


def _cost(cost: Cost) -> dict[str, str]:
    """Amounts as text: a number in TOML is a binary fraction to most who read it."""
    said = {"paper": cost.paper, "print": cost.printing, "total": cost.total}
    return {key: f"{amount:.2f}" for key, amount in said.items() if amount is not None} | (
        {"money": cost.money} if cost.money else {}
    )


def _said(decided: Decided) -> dict[str, Any]:
    """The keys that only some tickets have."""
    order, wishes = decided.order, decided.order.wishes
    said = {
        "due": wishes.due.isoformat() if wishes.due else None,
        "note": wishes.note,
        "repeat_of": decided.repeat_of,
        "sheets_only": decided.sheets_only,
        "as_before": order.repeat is not None and order.repeat.as_before,
        "quantity_from_card": wishes.quantity_from_card,
        "accepted": order.accepted,
        "check_overruled": decided.overruled,
        "output_profile_sha256": decided.profile_sha256,
        "dialog_flip": _dialog_flip(decided),
        "backs_order": None if decided.backs_order is None else str(decided.backs_order),
    }
    return {key: value for key, value in said.items() if value}


def _dialog_flip(decided: Decided) -> str | None:
    """The edge to choose in the print dialog, where it is not `flip`."""
    flip, chosen = decided.layout.flip, decided.settings.printer.chosen_flip
    return None if flip is None or chosen in (None, flip) else str(chosen)


def _settings(decided: Decided) -> dict[str, Any]:
    """The settings that shaped the sheets, so that they can be had again whatever the settings are then."""
    tables: dict[str, Any] = dict(write_settings(decided.settings))
    correction = decided.settings.correction
    if correction is not None and decided.layout.flip is not None:
        tables["align"] = {
            "shift": [f"{show_exact(side)} mm" for side in (correction.shift.x, correction.shift.y)],
            "turn": correction.turn_degrees,
            "scale": [correction.scale_x, correction.scale_y],
        }
    return tables


def _storable(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _storable(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_storable(one) for one in value]
    return as_utf8(value) if isinstance(value, str) else value


def _mm(length: Fraction) -> float:
    """Millimetres as a float, exact to a millionth."""
    return round(float(length), 6)


def _designs(designs: DesignPlaces | None) -> dict[str, Any]:
    """How many designs there are; `quantity` and `overs` count for each."""
    if designs is None:
        return {}
    body: dict[str, Any] = {"designs": len(designs.numbers), "sequence": str(designs.sequence)}
    return body | ({"only": list(designs.only)} if designs.only else {})


def _forms(designs: DesignPlaces | None) -> dict[str, Any]:
    """Each kind of sheet: the number of the design at each place, 0 where it is left empty."""
    if designs is None:
        return {}
    return {"forms": [{"designs": [at or 0 for at in lying], "sheets": sheets} for lying, sheets in designs.forms]}


def _art(face: CardFace, source: ArtSource, *, several: bool) -> dict[str, Any]:
    art = face.art
    body: dict[str, Any] = {"side": str(art.side), "file": source.file, "sha256": source.sha256}
    if several and source.design:  # what all designs share has none
        body["design"] = source.design
    if source.member is not None:
        body["member"] = source.member
        if source.member_name not in (None, source.member):
            body["member_name"] = source.member_name
        if source.file_sha256 is not None:
            body["file_sha256"] = source.file_sha256
    if source.page is not None:
        body["page"] = source.page + 1
    if source.earlier is not None:
        earlier = source.earlier
        body |= {"came_from": earlier.place, "kept_since": earlier.since, "came_as": str(earlier.use)}
    if art.width_px is not None and art.height_px is not None:
        body |= {"width_px": art.width_px, "height_px": art.height_px}
    else:
        body |= {"width_mm": _mm(art.extent.width), "height_mm": _mm(art.extent.height)}
    if face.fit.ppi is not None:
        body["ppi"] = round(float(face.fit.ppi), 1)
    return body


def _fold(card: CardSettings) -> dict[str, Any]:
    """Where a folded card is folded, and its size then; the trim is that of the card opened out."""
    if card.fold is None:
        return {}
    folded = {"folded_width_mm": _mm(card.trim.width), "folded_height_mm": _mm(card.trim.height)}
    return {"fold": str(card.fold), **folded}


def _stroke(stroke: Stroke) -> dict[str, Any]:
    return {
        "number": stroke.number,
        "pieces": [piece.name for piece in stroke.pieces],
        "against": str(stroke.against),
        "gauge_mm": _mm(stroke.gauge),
        "gives": [[near.name, beyond.name if beyond else WASTE] for near, beyond in stroke.gives],
    }


def _run(part: RunPart) -> dict[str, Any]:
    """The run that the order is part of; where it has several layouts, how many sheets are printed of each."""
    said: dict[str, Any] = {"run": part.run, "run_sheets": part.run_sheets, "run_orders": list(part.orders)}
    several = {"run_layouts": list(part.layouts)} if len(part.layouts) > 1 else {}
    return said | {"printed": part.printed} | several


def _places(decided: Decided) -> list[dict[str, Any]]:
    if decided.run is None:
        return [_place(place) for place in decided.layout.places]
    several = len(decided.run.layouts) > 1
    return [({"layout": layout} if several else {}) | _place(place) for layout, place in decided.run.places]


def _place(place: Place) -> dict[str, Any]:
    body: dict[str, Any] = {
        "number": place.number,
        "x_mm": _mm(place.front.trim.left),
        "y_mm": _mm(place.front.trim.bottom),
        "turn": int(place.front.turn),
    }
    if place.back is not None:
        body |= {
            "back_x_mm": _mm(place.back.trim.left),
            "back_y_mm": _mm(place.back.trim.bottom),
            "back_turn": int(place.back.turn),
        }
    return body
