"""Damaged PDFs that each reader mends in its own way: refused by their name, not called a fault of the program."""

import io
from fractions import Fraction

import pikepdf
import pytest

from watcher.errors import ArtUnreadable
from watcher.layout.geometry import Size
from watcher.sheet.check.reader_agreement import refuse_if_readers_differ
from watcher.units import points_to_mm

DRAWN = b"0.8 0.1 0.1 rg 20 20 200 100 re f 0 0 0.6 rg 60 160 90 90 re f"
TRIM = Size(points_to_mm(Fraction(240)), points_to_mm(Fraction(300)))


@pytest.fixture
def plan_of(one_place, face_of, planned, opened):
    """One card that shows a page with these contents, said to be packed as `Filter` says."""

    def make(contents, **entries):
        document = pikepdf.new()
        page = document.add_blank_page(page_size=(240, 300))
        page.Contents = document.make_stream(contents)
        saved = io.BytesIO()
        document.save(saved, compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.none)
        data = saved.getvalue()
        for key, value in entries.items():  # written by hand: no library would
            data = data.replace(
                b"/Length %d" % len(contents), b"/%s %s/Length %d" % (key.encode(), value, len(contents))
            )
        layout = one_place(TRIM, sheet=TRIM.grown(Fraction(10)))
        return planned(layout, face_of(opened(data, "pdf", page=0), TRIM))

    return make


def test_a_sound_page_is_let_pass(plan_of):
    refuse_if_readers_differ(plan_of(DRAWN))


def test_contents_that_are_not_packed_as_they_say_are_refused(plan_of):
    """As in qpdf's own test file shared-images-errors-2: pdfium draws them as they are, pypdf finds nothing."""
    with pytest.raises(ArtUnreadable, match="not every program shows the same of it"):
        refuse_if_readers_differ(plan_of(DRAWN, Filter=b"/FlateDecode"))
