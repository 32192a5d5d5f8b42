"""An order that is decided, and its ticket as it is read back."""

import tomllib
from fractions import Fraction
from typing import Any

from watcher.archive.order_ticket import Decided, ticket_text
from watcher.art.model import Art, CardFace, Fit, ImageStream, Raster
from watcher.layout.geometry import Box, Size
from watcher.terms import MakeBleed, Side

SETTINGS = """
[cards.invitation]
trim = "5 x 7 in"
bleed = "0.125 in"
sheet = "letter"
[cards.tag]
trim = "85 x 55 mm"
sides = 1
sheet = "letter"
[cards.id]
trim = "85.60 x 53.98 mm"
sides = 1
sheet = "letter"
[cards.tent]
trim = "3.5 x 2 in"
fold = "top"
sides = 1
sheet = "letter"
[sheets.letter]
size = "letter"
printer = "office"
[printers.office]
flip = "long-edge"
"""
PLACE = ["number", "x_mm", "y_mm", "turn", "back_x_mm", "back_y_mm", "back_turn"]


def face_of(side: Side, **art: Any) -> CardFace:
    stream = ImageStream(
        data=b"", filter="/FlateDecode", predictor=15, width_px=1575, height_px=2175, bits=8, colours=3
    )
    plain = {"file": f"a_{side}.png", "sha256": "ab" * 32, "extent": Size(Fraction(1575), Fraction(2175))}
    plain |= {"width_px": 1575, "height_px": 2175, "content": Raster(stream=stream)}
    fit = Fit(
        box=Box(*map(Fraction, (0, 0, 1, 1))), bleed=Fraction(0), make_bleed=MakeBleed.NONE, ppi=Fraction(30001, 100)
    )
    return CardFace(art=Art(side=side, **{**plain, **art}), fit=fit)


def read(decided: Decided) -> dict[str, Any]:
    return tomllib.loads(ticket_text(decided).decode("utf-8"))
