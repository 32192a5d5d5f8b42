"""Say why cards with bare edges did not reach into the rim that the printer cannot print."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from watcher.art.model import CardFace
from watcher.layout.geometry import Margins
from watcher.layout.model import Layout, LayoutRequest, WhiteEdges
from watcher.layout.printable import rim_of_back
from watcher.layout.white_edges import turned_margins
from watcher.terms import Finding, Level, Side, Turn
from watcher.units import show_mm

CODE = "paper-edge-inked"
_EDGES = ("top", "right", "bottom", "left")


def paper_edge_findings(
    faces: Sequence[CardFace], layout: Layout, ideal: Layout, request: LayoutRequest, bare: WhiteEdges
) -> tuple[Finding, ...]:
    """Say which ink stands too near to the edge, for each side; nothing where no card is lost by it.

    Args:
        faces: the order's sides.
        layout: what is made.
        ideal: what could be made of art that leaves every edge bare.
        request: what `layout` was asked for.
        bare: what was measured.
    """
    if ideal.up <= layout.up:
        return ()
    return tuple(finding for face in faces for finding in _of_face(face, layout, ideal, request, bare))


def _of_face(
    face: CardFace, layout: Layout, ideal: Layout, request: LayoutRequest, bare: WhiteEdges
) -> Iterator[Finding]:
    found = bare.front if face.art.side is Side.FRONT else bare.back
    if found is None:
        return
    needed = _needed(face.art.side, ideal, request)
    short = [edge for edge in _EDGES if getattr(found, edge) < getattr(needed, edge)]
    if short:
        near = ", ".join(f"{show_mm(getattr(found, edge))} mm from its {edge} edge" for edge in short)
        wanted = ", ".join(dict.fromkeys(show_mm(getattr(needed, edge)) for edge in short))
        said = (
            f"{face.art.file} has ink {near}; {wanted} mm of bare paper is needed there for {ideal.up} on a sheet, up "
            f"to the paper's edge. There is room for {layout.up} inside what the printer can print. Move it further in "
            f"if you want {ideal.up}."
        )
        yield Finding(level=Level.WARN, code=CODE, message=said, side=face.art.side)


def _needed(side: Side, ideal: Layout, request: LayoutRequest) -> Margins:
    """The rim that each edge of the card meets, as that side is read; the widest where cards lie both ways."""
    rim = request.unprintable if side is Side.FRONT else rim_of_back(request)
    lying = [place.front if side is Side.FRONT else place.back for place in ideal.places]
    turns = {face.turn for face in lying if face is not None}
    if len(turns) == 1:
        return turned_margins(rim, Turn.of(-turns.pop()))
    return Margins.all_round(max(vars(rim).values(), default=Fraction(0)))
