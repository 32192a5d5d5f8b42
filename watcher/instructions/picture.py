"""Place the preview of the sheet on a page."""

from io import BytesIO

from reportlab.lib.colors import black
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from watcher.instructions.preview import LatePicture

_REDUCED = 3  # it is shown at 2.5 in: a third of two pages at 72 ppi is 170 ppi there


class Picture(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """A picture on a page, as large as `room` (width, height in points) allows, kept as JPEG: a fraction of the bytes.

    A worker may still be making it while the pages are set: `NumberedPages` has it painted last.
    """

    def __init__(self, picture: LatePicture, room: tuple[float, float]) -> None:
        super().__init__()
        self._picture = picture
        width, height = picture.size_px
        scale = min(room[0] / width, room[1] / height)
        self.width, self.height = width * scale, height * scale

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size, whatever there is; called by reportlab."""
        return self.width, self.height

    def draw(self) -> None:
        """Called by reportlab with the origin at the lower left."""
        self.canv.at_last(self._paint)

    def _paint(self, canvas: Canvas) -> None:
        jpeg = BytesIO()
        self._picture.picture().reduce(_REDUCED).save(jpeg, "JPEG", quality=90, subsampling=0)
        canvas.drawImage(ImageReader(jpeg), 0, 0, self.width, self.height)
        canvas.setStrokeColor(black)
        canvas.setLineWidth(0.3)
        canvas.rect(0, 0, self.width, self.height)
