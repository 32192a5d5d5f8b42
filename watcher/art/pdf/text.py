"""Text of PDF art near the cut: where each letter lies, as the renderer's own text page says. For worker processes.

A letter counts when it is seen: when the picture of the page is another without it. So words behind a scan, white words
on white paper, words on a layer that is off or under a picture, and spaces, count for nothing, and what ground there is
behind a letter does not matter.
"""

import ctypes
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium

from watcher.art.model import CardFace, VectorPage
from watcher.art.pdf.thumbnail import LONGEST_PX
from watcher.art.reading import trim_box
from watcher.settings.card import CardSettings
from watcher.terms import Edge, Turn

MOST_LETTERS = 50_000  # looked at; a page full of small print has 10,000 (our own choice)
_SEEN = 16  # levels by which a pixel must differ without the letter; paler type nobody can read
_OFF_MM = 0.1  # what reaches the edge of the art to so much runs out over it
_WALLPAPER_SIDES = 3  # words that run out over so many sides are a pattern, and no part of it stands anywhere

_Quad = tuple[float, float, float, float]  # left, bottom, right, top


@dataclass(frozen=True, kw_only=True, eq=False)
class TextNearCut:
    """What text of a card stands near the cut.

    Attributes:
        nearest_mm: by edge how far inside the trim the nearest letter is, where it is nearer than the safe zone.
        crossing: the edges across which letters lie that end before the edge of the art.
        textless: the face with a picture that shows none of it.
    """

    nearest_mm: dict[Edge, float]
    crossing: frozenset[Edge]
    textless: CardFace


@dataclass(frozen=True, kw_only=True, eq=False)
class _Letter:
    """A letter: its box on the card (mm, from the lower left of the trim) and in the page's own units; its object."""

    on_card: _Quad
    on_page: _Quad
    drawn_by: int


def text_near_cut(face: CardFace, card: CardSettings) -> TextNearCut | None:
    """The text of PDF art that stands nearer to the cut than the safe zone allows; None where there is none.

    Args:
        face: any art; pictures have no text.
        card: its trim and safe zone.
    """
    page = face.art.content
    if not isinstance(page, VectorPage) or face.art.thumbnail is None:
        return None
    view = [float(edge) for edge in (page.view.left, page.view.bottom, page.view.right, page.view.top)]
    try:
        with closing(pypdfium2.PdfDocument(page.pdf)) as document:
            with closing(document[page.page]) as boxed:
                boxed.set_mediabox(*view)
                boxed.set_cropbox(*view)
            with closing(document[page.page]) as shown:
                return _near_cut(shown, face, page, card)
    except pypdfium2.PdfiumError:
        return None


def _near_cut(shown: Any, face: CardFace, page: VectorPage, card: CardSettings) -> TextNearCut | None:
    with closing(shown.get_textpage()) as text:
        letters = list(_letters(text, face, page))
        near = [letter for letter in letters if _is_near(letter.on_card, card)]
        if not near:
            return None
        before = _pixels(shown)
        objects = {letter.drawn_by for letter in near}
        for drawn in objects:
            handle = ctypes.cast(drawn, pdfium.FPDF_PAGEOBJECT)
            pdfium.FPDFTextObj_SetTextRenderMode(handle, pdfium.FPDF_TEXTRENDERMODE_INVISIBLE)
        after = _pixels(shown)
    changed = (np.maximum(before, after) - np.minimum(before, after)).max(axis=2) > _SEEN
    seen = [letter for letter in near if _has_any(changed, _on_pixels(shown, letter.on_page, changed.shape))]
    running_out = _running_out(letters, face, card)
    if sum(map(bool, running_out.values())) >= _WALLPAPER_SIDES:
        seen = []
    return _measured(seen, running_out, card, _textless(face, page, shown, after))


def _letters(text: Any, face: CardFace, page: VectorPage) -> Iterator[_Letter]:
    """Every letter that is no space."""
    box = [ctypes.c_double() for _ in range(4)]
    left, right, bottom, top = box
    for at in range(min(text.count_chars(), MOST_LETTERS)):
        code = pdfium.FPDFText_GetUnicode(text, at)
        if (code and chr(code).isspace()) or pdfium.FPDFText_IsGenerated(text, at) == 1:
            continue
        if not pdfium.FPDFText_GetCharBox(text, at, left, right, bottom, top):
            continue
        drawn = pdfium.FPDFText_GetTextObject(text, at)
        on_page = left.value, bottom.value, right.value, top.value
        if drawn and on_page[0] < on_page[2] and on_page[1] < on_page[3]:
            handle = ctypes.cast(drawn, ctypes.c_void_p).value
            yield _Letter(on_card=_on_card(on_page, face, page), on_page=on_page, drawn_by=handle or 0)


def _on_card(box: _Quad, face: CardFace, page: VectorPage) -> _Quad:
    """A box of the page on the card: the view turned upright lies in the fit's box."""
    low, high = (_upright((box[at], box[at + 1]), page) for at in (0, 2))
    size, lying = page.view.size.turned(page.turn), face.fit.box
    across, up = (sorted(pair) for pair in zip(low, high, strict=True))
    wide, tall = float(lying.width) / float(size.width), float(lying.height) / float(size.height)
    left, bottom = float(lying.left), float(lying.bottom)
    return left + across[0] * wide, bottom + up[0] * tall, left + across[1] * wide, bottom + up[1] * tall


def _upright(point: tuple[float, float], page: VectorPage) -> tuple[float, float]:
    """A point of the page, from the lower left of its view as it is read."""
    x, y = point
    left, bottom, right, top = (
        float(edge) for edge in (page.view.left, page.view.bottom, page.view.right, page.view.top)
    )
    return {
        Turn.NONE: (x - left, y - bottom),
        Turn.LEFT: (top - y, x - left),
        Turn.HALF: (right - x, top - y),
        Turn.RIGHT: (y - bottom, right - x),
    }[page.turn]


def _is_near(box: _Quad, card: CardSettings) -> bool:
    """Whether a letter lies on the card, in part at least, and nearer to an edge than the safe zone allows."""
    trim = trim_box(card)
    on_card = box[2] > 0 and box[0] < float(trim.width) and box[3] > 0 and box[1] < float(trim.height)
    return on_card and min(_inside(box, card).values()) < float(card.safe)


def _inside(box: _Quad, card: CardSettings) -> dict[Edge, float]:
    """How far inside each edge of the trim a box ends; negative past it."""
    trim = trim_box(card)
    return {
        Edge.TOP: float(trim.height) - box[3],
        Edge.RIGHT: float(trim.width) - box[2],
        Edge.BOTTOM: box[1],
        Edge.LEFT: box[0],
    }


def _running_out(letters: Sequence[_Letter], face: CardFace, card: CardSettings) -> dict[Edge, set[int]]:
    """By edge the objects, mostly a line each, that lie across the edge of what is printed."""
    lines: dict[int, _Quad] = {}
    for letter in letters:
        one, other = letter.on_card, lines.get(letter.drawn_by, letter.on_card)
        low, high = map(min, one[:2], other[:2]), map(max, one[2:], other[2:])
        left, bottom, right, top = *low, *high
        lines[letter.drawn_by] = left, bottom, right, top
    printed = _printed(face, card)
    ends: dict[Edge, set[int]] = {edge: set() for edge in Edge}
    for drawn_by, line in lines.items():
        within = _overlap(line, printed) > 0
        for edge, inside in _inside(line, card).items():
            past = _inside(printed, card)[edge]
            if within and past <= 0 and inside <= past + _OFF_MM:
                ends[edge].add(drawn_by)
    return ends


def _printed(face: CardFace, card: CardSettings) -> _Quad:
    """What is printed of the art: the trim and the bleed, as far as it reaches."""
    shown = trim_box(card).grown(face.fit.bleed).meet(face.fit.box)
    return float(shown.left), float(shown.bottom), float(shown.right), float(shown.top)


def _overlap(one: _Quad, other: _Quad) -> float:
    """How much two boxes have in common, the smaller way; negative when they lie apart."""
    return min(min(one[at + 2], other[at + 2]) - max(one[at], other[at]) for at in (0, 1))


def _measured(
    letters: Sequence[_Letter], running_out: dict[Edge, set[int]], card: CardSettings, textless: CardFace
) -> TextNearCut:
    nearest: dict[Edge, float] = {}
    crossing: set[Edge] = set()
    for letter in letters:
        for edge, inside in _inside(letter.on_card, card).items():
            if letter.drawn_by in running_out[edge] or inside >= float(card.safe):
                continue
            nearest[edge] = min(nearest.get(edge, inside), inside)
            if inside < -_OFF_MM:
                crossing.add(edge)
    return TextNearCut(nearest_mm=nearest, crossing=frozenset(crossing), textless=textless)


def _pixels(shown: Any) -> Any:
    scale = LONGEST_PX / max(shown.get_size())
    with closing(shown.render(scale=scale, may_draw_forms=False, draw_annots=False, rev_byteorder=True)) as drawn:
        return np.array(drawn.to_numpy()[:, :, :3])


def _on_pixels(shown: Any, box: _Quad, shape: tuple[int, ...]) -> tuple[slice, slice]:
    """Where a box of the page lies on its picture, a pixel more on each side."""
    x, y = ctypes.c_int(), ctypes.c_int()
    columns, rows = [], []
    for across, up in ((box[0], box[1]), (box[2], box[3])):
        pdfium.FPDF_PageToDevice(shown, 0, 0, shape[1], shape[0], 0, across, up, x, y)
        columns.append(x.value)
        rows.append(y.value)
    return (
        slice(max(0, min(rows) - 1), max(0, max(rows) + 2)),
        slice(max(0, min(columns) - 1), max(0, max(columns) + 2)),
    )


def _has_any(changed: Any, part: tuple[slice, slice]) -> bool:
    return bool(changed[part].any())


def _textless(face: CardFace, page: VectorPage, shown: Any, pixels: Any) -> CardFace:
    """The face with a picture of its page without text."""
    thumbnail = face.art.thumbnail
    assert thumbnail is not None
    more = (int(page.turn) - int(Turn.of(-int(shown.get_rotation())))) // 90  # art may have been turned since
    turned = np.ascontiguousarray(np.rot90(pixels, more % 4))
    return replace(face, art=replace(face.art, thumbnail=replace(thumbnail, picture=turned, ink=None)))
