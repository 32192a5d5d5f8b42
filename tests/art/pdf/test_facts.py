"""What a page of a PDF uses: its inks and how much of them, its typefaces, its pictures and how sharp they are."""

import io
from fractions import Fraction

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name
from pypdf import PdfReader

from watcher.art.pdf.facts import page_facts
from watcher.layout.geometry import Size


@pytest.fixture
def facts_of():
    """The facts of a page of 144 x 72 units with resources that `change(document, page)` puts there."""

    def read(content, change=lambda document, page: None, unit=1):
        document = pikepdf.new()
        page = document.add_blank_page(page_size=(144, 72))
        page.Contents = document.make_stream(content)
        page.Resources = Dictionary()
        change(document, page)
        finished = io.BytesIO()
        document.save(finished)
        return page_facts(PdfReader(finished).pages[0], Size(Fraction(144), Fraction(72)), Fraction(unit))

    return read


def with_picture(document, page):
    more = {"Subtype": Name.Image, "ColorSpace": Name.DeviceRGB, "BitsPerComponent": 8}
    page.Resources.XObject = Dictionary(I=document.make_stream(b"", Width=300, Height=200, **more))


def test_the_most_ink_is_that_of_the_heaviest_colour(facts_of):
    found = facts_of(b"1 0.5 0 0 k 0 0 9 9 re f 0.9 0.8 0.7 0.6 K 0 0 9 9 re S 0 0 0 1 k")
    assert (found.inks, found.most_ink) == (("CMYK",), 300)
    assert facts_of(b"1 0 0 rg 0.5 g 0 0 9 9 re f").inks == ()


def test_the_sharpness_of_a_picture_is_that_of_its_softer_axis(facts_of):
    """300 x 200 px on 144 x 72 points, which are 2 x 1 in: 150 ppi across, 200 upwards."""
    (picture,) = facts_of(b"q 144 0 0 72 0 0 cm /I Do Q", with_picture).pictures
    assert (picture.ppi, picture.share, picture.fades) == (150, 1, False)
    (larger,) = facts_of(b"q 144 0 0 72 0 0 cm /I Do Q", with_picture, unit=2).pictures
    assert larger.ppi == 75


def test_the_graphics_state_is_taken_back(facts_of):
    content = b"q 2 0 0 2 0 0 cm q 36 0 0 36 0 0 cm /I Do Q Q 36 0 0 36 0 0 cm /I Do"
    assert [picture.share for picture in facts_of(content, with_picture).pictures] == [0.5, 0.125]


def test_a_form_lies_where_its_own_matrix_puts_it(facts_of):
    def change(document, page):
        with_picture(document, page)
        more = {"Subtype": Name.Form, "BBox": Array([0, 0, 144, 72]), "Matrix": Array([0.5, 0, 0, 0.5, 0, 0])}
        page.Resources.XObject.F = document.make_stream(b"144 0 0 72 0 0 cm /I Do", **more)

    (picture,) = facts_of(b"/F Do", change).pictures
    assert (picture.ppi, picture.share) == (300, 0.25)


def test_a_typeface_counts_where_it_is_seen_and_is_told_without_the_tag_of_its_subset(facts_of):
    """The tag is six capitals and a plus. Source: ISO 32000-1 9.6.4."""

    def change(document, page):
        made = Dictionary(Type=Name.Font, Subtype=Name.TrueType, BaseFont=Name("/ABCDEF+Fox"))
        page.Resources.Font = Dictionary(F=made)

    assert facts_of(b"BT /F 9 Tf (a) Tj ET", change).loose_fonts == ("Fox",)
    assert facts_of(b"BT /F 9 Tf 3 Tr (a) Tj ET", change).loose_fonts == ()
    assert facts_of(b"BT /F 9 Tf ET", change).loose_fonts == ()
