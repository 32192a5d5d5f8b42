"""Opened art made ready for the sheet: fitted to its card and checked."""

from collections.abc import Sequence

from watcher.art.fit import fit_art
from watcher.art.model import Art, CardFace, Finding
from watcher.art.preflight import check_face, check_faces
from watcher.settings.model import CardSettings


def prepare_face(art: Art, card: CardSettings) -> tuple[CardFace, tuple[Finding, ...]]:
    """One side ready for the sheet, with all that is to be said of it alone."""
    fit, fitted = fit_art(art, card)
    face = CardFace(art=art, fit=fit)
    return face, (*art.findings, *fitted, *check_face(face, card))


def prepare_faces(arts: Sequence[Art], card: CardSettings) -> tuple[tuple[CardFace, ...], tuple[Finding, ...]]:
    """The sides of an order ready for the sheet, with all that is to be said of each and of both together."""
    fits = [fit_art(art, card) for art in arts]
    faces = tuple(CardFace(art=art, fit=fit) for art, (fit, _) in zip(arts, fits, strict=True))
    said = [finding for art, (_, fitted) in zip(arts, fits, strict=True) for finding in (*art.findings, *fitted)]
    return faces, (*said, *check_faces(faces, card))
