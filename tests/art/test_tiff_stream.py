"""A TIFF whose pixels are JPEG data goes into the sheet as that JPEG, and shows what the TIFF library shows."""

import io
from contextlib import closing

import numpy as np
import pypdfium2
import pytest
from PIL import Image
from pypdf import PdfWriter
from pypdf.generic import DecodedStreamObject, DictionaryObject, NameObject

from tests.art.formats.tiff_maker import CMYK, GREY, RGB, jpeg_tiff, smooth
from watcher.art.stored_pixels import stored_picture, upright
from watcher.sheet.draw.image import add_image

SIZE = 203, 151


def read_by_pdfium(stream):
    """The pixels of an image in a PDF, a pixel a point, as pdfium shows them."""
    writer = PdfWriter()
    page = writer.add_blank_page(stream.width_px, stream.height_px)
    drawn = DecodedStreamObject()
    drawn.set_data(b"%d 0 0 %d 0 0 cm /I Do" % (stream.width_px, stream.height_px))
    page[NameObject("/Contents")] = writer._add_object(drawn)
    images = DictionaryObject({NameObject("/I"): add_image(writer, stream)})
    page[NameObject("/Resources")] = DictionaryObject({NameObject("/XObject"): images})
    out = io.BytesIO()
    writer.write(out)
    with closing(pypdfium2.PdfDocument(out.getvalue())) as document, closing(document[0]) as shown:
        return np.asarray(shown.render(scale=1, rev_byteorder=True).to_pil().convert("RGB"))


def by_the_tiff_library(data):
    with Image.open(io.BytesIO(data)) as picture:
        picture.load()
        return picture.copy()


@pytest.mark.parametrize(
    "how", [{}, {"rows": 16, "subsampling": 0}, {"rows": 16, "colours": RGB}, {"rows": 8, "colours": GREY}], ids=str
)
def test_a_reader_of_pdf_shows_the_pixels_that_the_tiff_library_reads(opened, how):
    data = jpeg_tiff(smooth(*SIZE, "L" if how.get("colours") == GREY else "RGB"), **how)
    stream = opened(data, "tif").content.stream
    assert stream.filter == "/DCTDecode"
    assert np.array_equal(read_by_pdfium(stream), np.asarray(by_the_tiff_library(data).convert("RGB")))


def test_a_stream_is_about_as_long_as_its_tiff(opened):
    data = jpeg_tiff(smooth(*SIZE), rows=16)
    assert len(opened(data, "tif").content.stream.data) < 1.1 * len(data)


def test_halved_colours_differ_at_most_in_the_two_rows_where_strips_meet(opened):
    data = jpeg_tiff(smooth(*SIZE), rows=32)
    stream = opened(data, "tif").content.stream
    other = np.asarray(stored_picture(stream)) != np.asarray(by_the_tiff_library(data))
    assert {row % 32 for row in np.flatnonzero(other.any(axis=(1, 2)))} <= {31, 0}


def test_four_inks_keep_their_values(opened):
    data = jpeg_tiff(smooth(*SIZE, "CMYK"), rows=16, colours=CMYK)
    stream = opened(data, "tif").content.stream
    assert (stream.filter, stream.inverted) == ("/DCTDecode", False)
    assert np.array_equal(np.asarray(stored_picture(stream)), np.asarray(by_the_tiff_library(data)))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_stream_is_turned_as_the_orientation_says(opened, orientation):
    data = jpeg_tiff(smooth(*SIZE), subsampling=0, rows=16, more=[(274, orientation)])
    content = opened(data, "tif").content
    assert content.stream.filter == "/DCTDecode"
    shown = upright(stored_picture(content.stream), content)
    assert np.array_equal(np.asarray(shown), np.asarray(by_the_tiff_library(data)))


@pytest.mark.parametrize("how", [{"tile": (64, 64)}, {"rows": 24}, {"rows": 16, "restart_marker_blocks": 3}], ids=str)
def test_what_cannot_go_on_as_it_is_is_packed_without_loss(opened, how):
    data = jpeg_tiff(smooth(*SIZE), **how)
    stream = opened(data, "tif").content.stream
    assert stream.filter == "/FlateDecode"
    assert np.array_equal(np.asarray(stored_picture(stream)), np.asarray(by_the_tiff_library(data)))
