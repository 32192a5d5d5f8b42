"""The preview as a part of the instruction page."""

from functools import lru_cache
from io import BytesIO

from PIL import Image
from reportlab.lib.colors import black
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

_REDUCED = 2  # it is shown at 2.5 in: half of a sheet's preview is more than a printer shows


@lru_cache(maxsize=1)  # the page is set several times until all fits
def _as_jpeg(png: bytes) -> tuple[bytes, tuple[int, int]]:
    """The picture's data and its size in pixels."""
    out = BytesIO()
    with Image.open(BytesIO(png)) as picture:
        small = picture.convert("RGB").reduce(_REDUCED)
        small.save(out, "JPEG", quality=90, subsampling=0)
        return out.getvalue(), small.size


class Picture(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """A PNG as large as `room` (width, height in points) allows, kept as JPEG: a fraction of the bytes."""

    def __init__(self, png: bytes, room: tuple[float, float]) -> None:
        super().__init__()
        self._jpeg, (width, height) = _as_jpeg(png)
        scale = min(room[0] / width, room[1] / height)
        self.width, self.height = width * scale, height * scale

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size, whatever there is; called by reportlab."""
        return self.width, self.height

    def draw(self) -> None:
        """Paint it; called by reportlab with the origin at the lower left."""
        self.canv.drawImage(ImageReader(BytesIO(self._jpeg)), 0, 0, self.width, self.height)
        self.canv.setStrokeColor(black)
        self.canv.setLineWidth(0.3)
        self.canv.rect(0, 0, self.width, self.height)
