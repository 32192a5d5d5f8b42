"""The same sheets drawn with small pictures: what the preview is rendered from where no check by sight needs more.

Everything else is as on the sheets that are printed: places, turns, bleed, marks and small print. Unpacking and scaling
the full pictures is most of what rendering a sheet costs.
"""

from dataclasses import replace

from watcher.art.encode import encode_rows
from watcher.art.model import CardFace, Raster
from watcher.sheet.plan import CardDesign, SheetPlan

_INKS = 4


def with_small_pictures(plan: SheetPlan) -> SheetPlan:
    """A plan whose pictures are those of the checks, of 800 to 1599 px. PDF pages and pictures in CMYK stay."""
    known: dict[CardDesign, CardDesign] = {}
    forms = [replace(form, designs=tuple(_small_design(one, known) for one in form.designs)) for form in plan.forms]
    return replace(plan, forms=tuple(forms), press=None)


def _small_design(design: CardDesign | None, known: dict[CardDesign, CardDesign]) -> CardDesign | None:
    if design is None:
        return None
    if design not in known:
        back = design.back and _small_face(design.back)
        known[design] = CardDesign(front=_small_face(design.front), back=back)
    return known[design]


def _small_face(face: CardFace) -> CardFace:
    content, look = face.art.content, face.art.look
    if look is None or not isinstance(content, Raster) or content.stream.colours == _INKS:
        return face
    stream = replace(
        encode_rows(look.picture, quick=True), icc=content.stream.icc if content.stream.colours != 1 else None
    )
    return replace(face, art=replace(face.art, content=Raster(stream=stream)))
