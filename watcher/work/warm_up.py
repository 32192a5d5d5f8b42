"""Take a worker's process once along the way of an order, before the first one comes.

Each order is made in a copy of that process. What is loaded on the way (typefaces, colour profiles, codecs, measured
words) each copy would load anew: of the 210 ms of processor time of a pair of JPEG that was 80 (our measurement).
"""

import contextlib
import hashlib
import tempfile
from pathlib import Path

from PIL import Image

from watcher.archive.effective_settings import settings_now
from watcher.errors import PrintFolderError
from watcher.orders.model import ArtSource, Order
from watcher.orders.wishes import Wishes
from watcher.settings.load import settings_from
from watcher.terms import Side
from watcher.work.job import Job, job_for
from watcher.work.make_order import rehearse

_SETTINGS = """
[service]
read_back = false
[cards.card]
trim = "2 x 3 in"
bleed = "0.125 in"
sheet = "sheet"
warn_ppi = 30
hold_ppi = 20
[sheets.sheet]
size = "letter"
printer = "printer"
[printers.printer]
flip = "long-edge"
"""
_SIZE_PX = 135, 195  # with bleed, at 60 ppi
_ENDINGS = {Side.FRONT: "png", Side.BACK: "jpg"}
_DAY = "2026-01-01T00:00:00+00:00"  # any: nothing of it is kept


def warm_up() -> None:
    """Make an order of a drawn front and back as far as its product, which is not written.

    It only saves time: where there is no room for temporary files, it is left out.
    """
    with contextlib.suppress(OSError, PrintFolderError), tempfile.TemporaryDirectory() as folder:
        rehearse(_job(Path(folder)))


def _job(folder: Path) -> Job:
    settings = settings_from(_SETTINGS, folder / "settings.toml")
    card = settings.cards["card"]
    order = Order(
        number=1,
        name="card",
        key="card",
        folder=None,
        wishes=Wishes(card="card", sheet="sheet", quantity=2),
        accepted=True,
        art=tuple(_side(folder, side, ending) for side, ending in _ENDINGS.items()),
        files=(),
    )
    return job_for(order, settings_now(settings, card, settings.sheets["sheet"]), folder, _DAY)


def _side(folder: Path, side: Side, ending: str) -> ArtSource:
    file = folder / f"{side}.{ending}"
    Image.linear_gradient("L").resize(_SIZE_PX).convert("RGB").save(file)
    return ArtSource(side=side, file=file.name, sha256=hashlib.sha256(file.read_bytes()).hexdigest())
