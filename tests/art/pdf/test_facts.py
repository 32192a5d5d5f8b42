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


# Source: ISO 32000-1 8.6.4.4 (DeviceCMYK), 8.6.5.5 (ICCBased), 8.6.6.3 (Indexed), 8.6.6.4 (Separation, /All and /None),
# 8.6.6.5 (DeviceN).
TINT = Dictionary(FunctionType=2, Domain=Array([0, 1]), N=1)
SPACES = {
    "cmyk": (Array([Name.DeviceCMYK]), ("CMYK",)),
    "rgb": (Array([Name.DeviceRGB]), ()),
    "indexed": (Array([Name.Indexed, Name.DeviceCMYK, 1, b"12345678"]), ("CMYK",)),
    "spot": (Array([Name.Separation, Name("/Gold Ink"), Name.DeviceCMYK, TINT]), ("Gold Ink",)),
    "process": (Array([Name.Separation, Name.Magenta, Name.DeviceCMYK, TINT]), ("CMYK",)),
    "all plates": (Array([Name.Separation, Name.All, Name.DeviceCMYK, TINT]), ()),
    "several": (Array([Name.DeviceN, Array([Name.Cyan, Name.Gold]), Name.DeviceCMYK, TINT]), ("CMYK", "Gold")),
}


@pytest.mark.parametrize("kind", SPACES)
@pytest.mark.parametrize("content", [b"/S cs 1 scn", b"/S CS 1 SCN", b"/X sh", b"/P scn", b"q 9 0 0 9 0 0 cm /I Do Q"])
def test_inks_are_found_wherever_a_colour_space_is_used(facts_of, kind, content):
    space, inks = SPACES[kind]

    def change(document, page):
        page.Resources.ColorSpace = Dictionary(S=space)
        page.Resources.Shading = Dictionary(X=Dictionary(ShadingType=2, ColorSpace=space))
        page.Resources.Pattern = Dictionary(P=Dictionary(PatternType=2, Shading=page.Resources.Shading.X))
        more = {"Subtype": Name.Image, "ColorSpace": space, "BitsPerComponent": 8}
        page.Resources.XObject = Dictionary(I=document.make_stream(b"", Width=3, Height=3, **more))

    assert facts_of(content, change).inks == inks


@pytest.mark.parametrize(("components", "inks"), [(4, ("CMYK",)), (3, ())])
def test_a_profile_is_of_cmyk_by_its_number_of_components(facts_of, components, inks):
    def change(document, page):
        page.Resources.ColorSpace = Dictionary(S=Array([Name.ICCBased, document.make_stream(b"", N=components)]))

    assert facts_of(b"/S cs", change).inks == inks


def test_an_ink_is_never_more_than_all_of_it(facts_of):
    assert facts_of(b"2 -1 0.5 0 k").most_ink == 150


@pytest.mark.parametrize("key", ["SMask", "Mask", "ImageMask"])
def test_a_picture_with_a_mask_fades(facts_of, key):
    def change(document, page):
        with_picture(document, page)
        page.Resources.XObject.I[f"/{key}"] = True if key == "ImageMask" else document.make_stream(b"")

    (picture,) = facts_of(b"q 144 0 0 72 0 0 cm /I Do Q", change).pictures
    assert picture.fades


def test_a_picture_that_lies_turned_is_measured_along_its_own_axes(facts_of):
    """Turned by a quarter, 300 px lie on 72 pt and 200 px on 144 pt: 300 and 100 ppi."""
    (picture,) = facts_of(b"q 0 72 -144 0 144 0 cm /I Do Q", with_picture).pictures
    assert (picture.ppi, picture.share) == (100, 1)


@pytest.mark.parametrize(("depth", "count"), [(12, 1), (13, 0)])
def test_forms_within_forms_are_followed_twelve_deep(facts_of, depth, count):
    def change(document, page):
        with_picture(document, page)
        inner = page.Resources
        for _ in range(depth):
            form = document.make_stream(b"/F Do /I Do", Subtype=Name.Form, BBox=Array([0, 0, 9, 9]))
            form.Resources, inner = inner, Dictionary(XObject=Dictionary(F=form))
        page.Resources = inner

    assert len(facts_of(b"/F Do", change).pictures) == count


def test_a_typeface_in_the_file_or_drawn_by_the_page_is_none_that_lacks(facts_of):
    def change(document, page):
        described = Dictionary(Type=Name.FontDescriptor, FontFile2=document.make_stream(b""))
        own = Dictionary(Type=Name.Font, Subtype=Name.TrueType, BaseFont=Name.Fox, FontDescriptor=described)
        inner = Dictionary(Type=Name.Font, Subtype=Name.CIDFontType2, FontDescriptor=described)
        composite = Dictionary(Type=Name.Font, Subtype=Name.Type0, BaseFont=Name.Elk, DescendantFonts=Array([inner]))
        drawn = Dictionary(Type=Name.Font, Subtype=Name.Type3)
        page.Resources.Font = Dictionary(A=own, B=composite, C=drawn)

    assert facts_of(b"BT /A 9 Tf (a) Tj /B 9 Tf [(a)] TJ /C 9 Tf (a) ' ET", change).loose_fonts == ()
