"""Opened art made ready for the sheet, both sides, as the worker does it."""

from watcher.art.checks.preflight import ORDINARY
from watcher.art.prepare import prepare_face, sides_together


def prepare_faces(arts, card, printer=ORDINARY):
    return sides_together([prepare_face(art, card, printer) for art in arts], card)
