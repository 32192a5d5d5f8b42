"""Draw a page of a PDF as a thumbnail for the checks, with pdfium. For worker processes only.

Annotations that are printed are part of the page by now (`printed`); the others are left out, as in the sheet.
"""

from contextlib import closing

import numpy as np
import pypdfium2

from watcher.art.model import Thumbnail, VectorPage

LONGEST_PX = 900  # 5 px a millimetre on a 5 x 7 in card; a page costs 10 to 60 ms (measured)


def page_thumbnail(page: VectorPage) -> Thumbnail | None:
    """Draw a page as a thumbnail, upright; None where pdfium cannot draw it."""
    view = page.view
    corners = [float(side) for side in (view.left, view.bottom, view.right, view.top)]
    try:
        with closing(pypdfium2.PdfDocument(page.pdf)) as document:
            with closing(document[page.page]) as boxed:
                boxed.set_mediabox(*corners)
                boxed.set_cropbox(*corners)
            with closing(document[page.page]) as seen:  # opened anew: pdfium reads the boxes when it opens a page
                scale = LONGEST_PX / max(seen.get_size())
                drawn = seen.render(scale=scale, may_draw_forms=False, draw_annots=False, rev_byteorder=True)
                pixels = np.array(drawn.to_numpy()[:, :, :3])
    except pypdfium2.PdfiumError:
        return None
    return Thumbnail(picture=np.ascontiguousarray(pixels))
