"""Make opened art ready for the sheet: turn it where the settings say so, fit it to its card and check it."""

from collections.abc import Sequence
from dataclasses import replace

from watcher.art.checks.bare_paper import edge_colour
from watcher.art.checks.preflight import ORDINARY, check_face, check_pair
from watcher.art.fit import fit_art
from watcher.art.fit_words import turned_upright
from watcher.art.model import Art, CardFace
from watcher.art.reading import fits_card, lies_on_side
from watcher.art.turned import art_within_trim, turned_art
from watcher.settings.card import CardSettings
from watcher.settings.printer import PrinterSettings
from watcher.terms import Finding, ShapeMismatch, Side


def prepare_face(
    art: Art, card: CardSettings, printer: PrinterSettings = ORDINARY
) -> tuple[CardFace, tuple[Finding, ...]]:
    """One side ready for the sheet, with all that is to be said of it alone.

    Args:
        art: the side, opened.
        card: what it is for.
        printer: what it will be printed by.
    """
    card = card.opened_out  # art of a folded card is the spread
    face, said = _fitted(art, card)
    return face, (*said, *check_face(face, card, printer))


def sides_together(
    prepared: Sequence[tuple[CardFace, tuple[Finding, ...]]], card: CardSettings
) -> tuple[tuple[CardFace, ...], tuple[Finding, ...]]:
    """Sides that are ready, with all that is to be said of each and then of both together.

    Args:
        prepared: each side with what is to be said of it alone.
        card: what they are for.
    """
    faces = tuple(face for face, _ in prepared)
    said = tuple(finding for _, findings in prepared for finding in findings)
    return faces, (*said, *check_pair(faces, card.opened_out))


def _fitted(art: Art, card: CardSettings) -> tuple[CardFace, tuple[Finding, ...]]:
    turned: tuple[Finding, ...] = ()
    if art.side is Side.BACK and card.back_quarter is not None and lies_on_side(art, card):
        turned = (turned_upright(art, card.back_quarter),)
        art = turned_art(art, card.back_quarter.turn)
    if card.shape_mismatch is not ShapeMismatch.HOLD and not fits_card(art, card) and not lies_on_side(art, card):
        art = art_within_trim(art)  # what the file says is no part of the card is neither kept nor shown
    fit, fitted = fit_art(art, card)
    face = CardFace(art=art, fit=fit)
    return replace(face, edge_colour=edge_colour(face, card)), (*art.findings, *turned, *fitted)
