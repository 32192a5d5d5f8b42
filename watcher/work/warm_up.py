"""Make a small order before the first one comes, so that what takes time to load is loaded when it does.

Each order is made in a copy of a worker's process. What is loaded on the way (typefaces, colour profiles, codecs,
measured words) each copy would load anew: of the 210 ms of processor time of a pair of JPEG that was 80 (our
measurement). A copy that waits for its order goes this way too, with the settings of the order before.
"""

import contextlib
import hashlib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from watcher.archive.effective_settings import EffectiveSettings, settings_now
from watcher.errors import PrintFolderError
from watcher.orders.model import ArtSource, Order
from watcher.orders.wishes import Wishes
from watcher.settings.load import settings_from
from watcher.terms import Side
from watcher.work.job import Job, job_for
from watcher.work.make_order import rehearse
from watcher.work.task_head import OrderKind

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
_ART = Path(__file__).parent / "rehearsal_art"  # `side` in a few formats, for a card of 2 x 3 in with bleed
_DAY = "2026-01-01T00:00:00+00:00"  # any: nothing of it is kept


def warm_up(like: OrderKind | None = None) -> None:
    """Make an order of small art as far as its product, which is not written.

    It only saves time: what goes wrong on the way is passed over.

    Args:
        like: the kind of order that it is; without one it is any.
    """
    with contextlib.suppress(OSError, PrintFolderError):
        rehearse(_any_job() if like is None else _job_like(like))


def _any_job() -> Job:
    settings = settings_from(_SETTINGS, _ART / "settings.toml")
    card = settings.cards["card"]
    wishes = Wishes(card="card", sheet="sheet", quantity=2)
    endings = {Side.FRONT: "png", Side.BACK: "jpg"}
    return _job(settings_now(settings, card, settings.sheets["sheet"]), wishes, endings)


def _job_like(like: OrderKind) -> Job:
    """An order of the same kind as another; a press's profile, a file from outside, is left out."""
    settings = replace(like.settings, printer=like.settings.printer.model_copy(update={"output_profile": None}))
    card, sheet = like.settings.card.name, like.settings.sheet.name
    wishes = Wishes(card=card, sheet=sheet, quantity=like.quantity, overs=like.overs)
    endings = {side: _ending_like(ending) for side, ending in like.endings.items()}
    return replace(_job(settings, wishes, endings), read_back=like.read_back)


def _job(settings: EffectiveSettings, wishes: Wishes, endings: Mapping[Side, str]) -> Job:
    order = Order(
        number=1,
        name="card",
        key="card",
        folder=None,
        wishes=wishes,
        accepted=True,
        art=tuple(_source(side, ending) for side, ending in endings.items()),
        files=(),
    )
    return replace(job_for(order, settings, _ART, _DAY), building=_ART / "nothing is written", read_back=False)


def _source(side: Side, ending: str) -> ArtSource:
    file = _ART / f"side.{ending}"
    return ArtSource(side=side, file=file.name, sha256=hashlib.sha256(file.read_bytes()).hexdigest())


def _ending_like(ending: str) -> str:
    return ending if (_ART / f"side.{ending}").exists() else "png"
