"""The preview as a part of the instruction page."""

from io import BytesIO

from PIL import Image
from reportlab.lib.colors import black
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

_REDUCED = 3  # it is shown at 2.5 in: a third of two pages at 72 ppi is 170 ppi there


class Picture(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """A picture as large as `room` (width, height in points) allows, kept as JPEG: a fraction of the bytes."""

    def __init__(self, picture: Image.Image, room: tuple[float, float]) -> None:
        super().__init__()
        self._picture = picture
        scale = min(room[0] / picture.width, room[1] / picture.height)
        self.width, self.height = picture.width * scale, picture.height * scale

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size, whatever there is; called by reportlab."""
        return self.width, self.height

    def draw(self) -> None:
        """Paint it; called by reportlab with the origin at the lower left."""
        jpeg = BytesIO()
        self._picture.reduce(_REDUCED).save(jpeg, "JPEG", quality=90, subsampling=0)
        self.canv.drawImage(ImageReader(jpeg), 0, 0, self.width, self.height)
        self.canv.setStrokeColor(black)
        self.canv.setLineWidth(0.3)
        self.canv.rect(0, 0, self.width, self.height)
