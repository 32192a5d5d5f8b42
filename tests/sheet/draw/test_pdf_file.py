"""The same plan makes the same bytes, in this process and in any other."""

import hashlib
import os
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction

from watcher.layout.geometry import Size
from watcher.sheet.draw.sheet_pdf import draw_sheets

SCRIPT = """
import hashlib, io
from fractions import Fraction
import numpy as np
from PIL import Image
from watcher.art.decode import open_art
from tests.ready import prepare_faces
from watcher.layout.geometry import Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.marks.crop_marks import plan_marks
from watcher.layout.model import LayoutRequest
from watcher.settings.card import CardSettings
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.sheet.draw.plan import CardDesign, SheetForm, SheetPlan
from watcher.sheet.draw.small_print import SmallPrint
from watcher.terms import *

def png(seed, mode):
    finished = io.BytesIO()
    pixels = np.random.default_rng(seed).integers(0, 256, (110, 170, len(mode)), np.uint8)
    Image.fromarray(pixels).save(finished, "PNG")
    return finished.getvalue()

def make():
    card = CardSettings(name="visit", trim="85 x 55 mm", sheet="a4", bleed="3 mm", hold_ppi=1, warn_ppi=1)
    layout = lay_out(LayoutRequest(
        sheet=Size(Fraction(210), Fraction(297)), trim=card.trim, bleed=card.bleed, least_bleed=card.bleed,
        gutter=Fraction(6), unprintable=Margins.all_round(Fraction(5)), unprintable_back=None, two_sided=True,
        flip=Flip.SHORT_EDGE, duplex=Duplex.AUTOMATIC, feed=Feed.SHORT_EDGE, backs=Backs.HEAD_TO_HEAD, mixed_turns=True,
        prefer=Prefer.MOST_CARDS, cards_wanted=50))
    sides = ((Side.FRONT, png(1, "RGB")), (Side.BACK, png(2, "RGBA")))
    arts = [open_art(side, side + ".png", hashlib.sha256(data).hexdigest(), data, "png", None) for side, data in sides]
    faces, _ = prepare_faces(arts, card)
    words = SmallPrint(order="Nachtfahrt \\u2603", card="visit", sheets=6, flip=layout.flip, duplex=Duplex.AUTOMATIC,
                       date="2026-03-04")
    form = SheetForm(designs=(CardDesign(front=faces[0], back=faces[1]),) * layout.up, sheets=6)
    plan = SheetPlan(layout=layout, marks=plan_marks(layout).marks, forms=(form,), copies=Copies.ONCE,
                     duplex=Duplex.AUTOMATIC, small_print=words)
    return draw_sheets(plan)[0].pdf

made = [hashlib.sha256(make()).hexdigest() for _ in range(2)]
print(*made)
"""


def run_elsewhere(folder) -> list[str]:
    here = os.environ.get("PYTHONHASHSEED")
    environment = os.environ | {
        "PYTHONHASHSEED": "1" if here != "1" else "4242",
        "PYTHONPATH": os.pathsep.join(sys.path),
    }
    finished = subprocess.run(
        [sys.executable, "-c", SCRIPT], env=environment, cwd=folder, capture_output=True, text=True, check=True
    )
    return finished.stdout.split()


def test_a_fresh_process_with_another_hash_seed_and_folder_makes_the_same_bytes(tmp_path):
    """Made bleed, transparency, small print with an embedded font: all of it, twice there and twice in this process."""
    here: dict[str, list[str]] = {}
    exec(SCRIPT, here)
    assert len({*run_elsewhere(tmp_path), *here["made"]}) == 1
    assert len(here["made"]) == 2


def test_other_art_has_another_file_identifier(one_place, planned, face_of, colours, pdf):
    """ISO 32000-1 14.4: the identifier follows the contents."""
    trim = Size(Fraction(60), Fraction(80))
    plan = planned(one_place(trim), face_of(colours(), trim))
    face = plan.forms[0].designs[0].front
    other = planned(plan.layout, replace(face, art=replace(face.art, sha256="1" * 64)))
    marks = {bytes(pdf(draw_sheets(each)[0].pdf).trailer.ID[0]) for each in (plan, plan, other)}
    assert len(marks) == 2
    assert hashlib.sha256(draw_sheets(plan)[0].pdf).digest() == hashlib.sha256(draw_sheets(plan)[0].pdf).digest()
