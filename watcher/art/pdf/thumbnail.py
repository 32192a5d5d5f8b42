"""A page of a PDF as a small picture, for the checks, drawn by pdfium. For worker processes only.

Annotations that are printed are part of the page by now (`pdf_printed`); the others are left out, as in the sheet.
"""

from contextlib import closing

import numpy as np
import pypdfium2

from watcher.art.model import Look, VectorPage

LONGEST_PX = 900  # 5 px a millimetre on a 5 x 7 in card; a page costs 10 to 60 ms (measured)


def look_at_page(page: VectorPage) -> Look | None:
    """The drawn part of a page, upright; None where pdfium cannot draw it."""
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
    return Look(picture=np.ascontiguousarray(pixels))
