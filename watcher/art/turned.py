"""Turn art by quarters, or cut it to the trim that its file says: by matrix and boxes, never pixel by pixel."""

from dataclasses import replace

import numpy as np

from watcher.art.model import Art, CardFace, Thumbnail, VectorPage
from watcher.art.pdf.boxes import upright_trim
from watcher.layout.geometry import Box, Size
from watcher.terms import Side, Turn


def turned_art(art: Art, turn: Turn) -> Art:
    """The art turned counter-clockwise once more than it is already."""
    across, upwards = (art.height_px, art.width_px) if turn.swaps_sides else (art.width_px, art.height_px)
    return replace(
        art,
        extent=art.extent.turned(turn),
        width_px=across,
        height_px=upwards,
        content=replace(art.content, turn=Turn.of(art.content.turn + turn)),
        real_size=art.real_size.turned(turn) if art.real_size else None,
        thumbnail=_turned_thumbnail(art.thumbnail, turn) if art.thumbnail else None,
    )


def face_on_its_side(face: CardFace, trim: Size) -> CardFace:
    """A face as it lies on the same card whose width and height are exchanged: a front is turned left, a back right.

    Opposite quarters keep the two sides of the card the same way up to each other, whatever `backs` is: where a front
    lies turned by so much more, its back lies turned by so much less (`layout.backs.turn_behind`).

    Args:
        face: in the axes of the card as its art is read.
        trim: of that card, mm.
    """
    box = face.fit.box
    if face.art.side is Side.FRONT:
        turn, turned = Turn.LEFT, Box(trim.height - box.top, box.left, trim.height - box.bottom, box.right)
    else:
        turn, turned = Turn.RIGHT, Box(box.bottom, trim.width - box.right, box.top, trim.width - box.left)
    return replace(face, art=turned_art(face.art, turn), fit=replace(face.fit, box=turned))


def art_within_trim(art: Art) -> Art:
    """A PDF page cut to the trim that its file says, as if there were no more of it; other art as it is."""
    page = art.content
    said = upright_trim(page) if isinstance(page, VectorPage) else None
    if not isinstance(page, VectorPage) or page.trim is None or said is None:
        return art
    thumbnail = art.thumbnail
    if thumbnail is not None:
        height, width = thumbnail.picture.shape[:2]
        left, right = (round(float(side / art.extent.width) * width) for side in (said.left, said.right))
        top, bottom = (round(float(1 - side / art.extent.height) * height) for side in (said.top, said.bottom))
        part = thumbnail.picture[top : max(bottom, top + 1), left : max(right, left + 1)]
        thumbnail = replace(thumbnail, picture=np.ascontiguousarray(part))
    return replace(
        art,
        content=replace(page, view=page.trim, trim=None),
        extent=said.size,
        real_size=said.size,
        thumbnail=thumbnail,
    )


def _turned_thumbnail(thumbnail: Thumbnail, turn: Turn) -> Thumbnail:
    quarters = turn // 90
    ink = np.ascontiguousarray(np.rot90(thumbnail.ink, quarters)) if thumbnail.ink is not None else None
    return replace(thumbnail, picture=np.ascontiguousarray(np.rot90(thumbnail.picture, quarters)), ink=ink)
