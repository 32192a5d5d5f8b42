import io
from dataclasses import replace
from fractions import Fraction

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name
from pypdf import PdfReader

from tests.long_form import LONG
from watcher.art.model import PageAnnotations, PageFacts
from watcher.art.pdf import facts
from watcher.art.pdf.facts import page_facts
from watcher.layout.geometry import Size
from watcher.settings.printer import PrinterSettings
from watcher.terms import Level


@pytest.fixture
def page_with(opened):
    """A page of 66 x 90 mm with contents and resources that `change(document, page)` puts there."""

    def make(content=b"", change=lambda document, page: None, size=(187.09, 255.12)):
        document = pikepdf.new()
        page = document.add_blank_page(page_size=size)
        page.Contents = document.make_stream(content)
        page.Resources = Dictionary()
        change(document, page)
        finished = io.BytesIO()
        document.save(finished)
        return opened(finished.getvalue(), "pdf", shown="x.pdf")

    return make


def font(name, *, embedded=False, subtype="/TrueType"):
    """Puts a font called /F into the page's resources."""

    def change(document, page):
        described = Dictionary(Type=Name.FontDescriptor, FontName=Name(name))
        if embedded:
            described.FontFile2 = document.make_stream(b"\0\1\0\0")
        made = Dictionary(Type=Name.Font, Subtype=Name(subtype), BaseFont=Name(name), FontDescriptor=described)
        page.Resources.Font = Dictionary(F=document.make_indirect(made))

    return change


TWO = Array([Name.Cyan, Name.Silver])
TYPE = b"BT /F 12 Tf 40 40 Td (Lantern) Tj ET"


def test_a_typeface_that_is_not_in_the_file_is_held_and_named(page_with, said, small):
    finding = said(page_with(TYPE, font("/ABCDEF+Bakery-Script")), small)["fonts-not-embedded"]
    assert finding.level is Level.HOLD
    assert "Bakery-Script" in finding.message
    assert "ABCDEF" not in finding.message


def test_one_that_every_reader_has_is_warned_of(page_with, said, small):
    """The 14 of ISO 32000-1 9.6.2.2."""
    finding = said(page_with(TYPE, font("/Helvetica-Bold", subtype="/Type1")), small)["fonts-not-embedded"]
    assert finding.level is Level.WARN
    press = PrinterSettings(name="press", output_profile="p.icc")
    held = said(page_with(TYPE, font("/Helvetica", subtype="/Type1")), small, press)["fonts-not-embedded"]
    assert held.level is Level.HOLD


@pytest.mark.parametrize(
    ("content", "change"),
    [
        (TYPE, font("/Bakery", embedded=True)),
        (b"BT /F 12 Tf ET", font("/Bakery")),  # chosen, but nothing is set in it
        (b"BT 3 Tr /F 12 Tf (the words behind a scan) Tj ET", font("/Bakery")),
        (b"0 0 50 50 re f", font("/Bakery")),
    ],
)
def test_embedded_unused_and_invisible_typefaces_are_fine(page_with, said, small, content, change):
    assert "fonts-not-embedded" not in said(page_with(content, change), small)


def test_typefaces_of_many_letters_are_looked_into(page_with, said, small):
    """A Type0 font's file is with its descendant (ISO 32000-1 9.7.1)."""

    def change(document, page, embedded):
        described = Dictionary(Type=Name.FontDescriptor)
        if embedded:
            described.FontFile3 = document.make_stream(b"OTTO")
        inner = document.make_indirect(Dictionary(Type=Name.Font, Subtype=Name.CIDFontType0, FontDescriptor=described))
        page.Resources.Font = Dictionary(
            F=Dictionary(Type=Name.Font, Subtype=Name.Type0, BaseFont=Name.Wide, DescendantFonts=Array([inner]))
        )

    loose = page_with(TYPE, lambda document, page: change(document, page, False))
    assert "Wide" in said(loose, small)["fonts-not-embedded"].message
    assert "fonts-not-embedded" not in said(page_with(TYPE, lambda d, p: change(d, p, True)), small)


def test_a_typeface_within_a_form_is_found(page_with, said, small):
    def change(document, page):
        form = document.make_stream(TYPE, Subtype=Name.Form, BBox=[0, 0, 187, 255])
        form.Resources = Dictionary(Font=Dictionary(F=Dictionary(Type=Name.Font, BaseFont=Name.Inner)))
        page.Resources.XObject = Dictionary(X=form)

    assert "Inner" in said(page_with(b"q /X Do Q", change), small)["fonts-not-embedded"].message


@pytest.mark.parametrize(
    ("space", "word"),
    [
        (lambda document: Array([Name.Separation, Name("/Gold Foil"), Name.DeviceCMYK, Dictionary()]), "Gold Foil"),
        (lambda document: Array([Name.ICCBased, document.make_stream(b"", N=4)]), "CMYK"),
        (
            lambda document: Array([Name.DeviceN, Array([Name.Cyan, Name.Silver]), Name.DeviceCMYK, Dictionary()]),
            "Silver",
        ),
    ],
)
def test_spot_colours_and_inks_of_colour_spaces_are_named(page_with, said, small, space, word):
    def change(document, page):
        page.Resources.ColorSpace = Dictionary(C=space(document))

    assert word in said(page_with(b"/C cs 1 scn 9 9 90 90 re f", change), small)["colours-not-rgb"].message


def test_registration_colour_alone_is_no_ink(page_with, said, small):
    """Crop marks are drawn with all plates at once (ISO 32000-1 8.6.6.4, /All)."""

    def change(document, page):
        page.Resources.ColorSpace = Dictionary(C=Array([Name.Separation, Name.All, Name.DeviceCMYK, Dictionary()]))

    assert "colours-not-rgb" not in said(page_with(b"/C CS 1 SCN 0 0 m 9 9 l S", change), small)


def picture(width_px, height_px, **more):
    def change(document, page):
        image = document.make_stream(bytes(width_px * height_px * 3), Subtype=Name.Image, Width=width_px)
        image.Height, image.ColorSpace, image.BitsPerComponent = height_px, Name.DeviceRGB, 8
        for key, value in more.items():
            image[f"/{key}"] = value(document)
        page.Resources.XObject = Dictionary(I=image)

    return change


WHOLE = b"q 187.09 0 0 255.12 0 0 cm /I Do Q"
PART = b"q 0.5 0 0 0.5 0 0 cm q 187.09 0 0 255.12 0 0 cm /I Do Q Q"


def test_a_page_that_is_one_soft_picture_is_held_like_a_soft_picture(page_with, said, card):
    """66 mm are 2.598 in: 260 px make 100.06 ppi."""
    wanted = card(trim="60 x 84 mm", bleed="3 mm", warn_ppi=225, hold_ppi=150)
    finding = said(page_with(WHOLE, picture(260, 355)), wanted)["low-resolution"]
    assert finding.level is Level.HOLD
    for words in ("260 x 355 px", "100 ppi", "100 % of the page", "150 ppi is needed"):
        assert words in finding.message


def test_a_soft_picture_on_part_of_a_page_is_warned_of(page_with, said, card):
    wanted = card(trim="60 x 84 mm", bleed="3 mm", warn_ppi=225, hold_ppi=150)
    finding = said(page_with(PART, picture(65, 89)), wanted)["low-resolution"]
    assert finding.level is Level.WARN
    assert "50 ppi, on 25 % of the page" in finding.message


def test_a_soft_portrait_on_a_tenth_of_a_page_is_warned_of(page_with, said, card):
    """70 x 70 points of 187 x 255 are 10 %; 40 px on 70 points (0.97 in) make 41 ppi."""
    wanted = card(trim="60 x 84 mm", bleed="3 mm", warn_ppi=225, hold_ppi=150)
    finding = said(page_with(b"q 70 0 0 70 9 9 cm /I Do Q", picture(40, 40)), wanted)["low-resolution"]
    assert finding.level is Level.WARN
    assert "41 ppi, on 10 % of the page" in finding.message


@pytest.mark.parametrize(
    ("content", "change"),
    [
        (WHOLE, picture(780, 1064)),
        (PART, picture(65, 89, SMask=lambda d: d.make_stream(b"", Subtype=Name.Image))),  # a shadow or glow
        (b"q 20 0 0 20 9 9 cm /I Do Q", picture(4, 4)),  # an ornament: 0.8 % of the page
        (b"q 0 0 0 0 9 9 cm /I Do Q", picture(4, 4)),  # nothing at all
    ],
)
def test_sharp_small_and_faded_pictures_are_fine(page_with, said, card, content, change):
    wanted = card(trim="60 x 84 mm", bleed="3 mm", warn_ppi=225, hold_ppi=150)
    assert "low-resolution" not in said(page_with(content, change), wanted)


def test_a_small_page_is_told_with_how_much_it_is_enlarged(page_with, said, small):
    finding = said(page_with(b"0 0 30 30 re f", size=(74.84, 102.05)), small)["small-page"]
    assert finding.level is Level.WARN
    for words in ("26.4 x 36 mm", "2.5 times", "66 x 90 mm"):
        assert words in finding.message
    assert "small-page" not in said(page_with(b"0 0 30 30 re f"), small)


@pytest.mark.parametrize(("times", "is_told"), [(1.2, False), (1.3, True)])
def test_a_page_a_quarter_smaller_than_the_card_is_where_it_begins(page_with, said, small, times, is_told):
    """Lines of 0.25 pt are 0.33 pt then (our own choice)."""
    found = said(page_with(b"0 0 30 30 re f", size=(187.09 / times, 255.12 / times)), small)
    assert ("small-page" in found) is is_told


def test_a_form_drawn_again_and_again_is_not_read_without_end(monkeypatch):
    """A megabyte of white space in a form that the page draws 90,000 times: a second or two, not hours."""
    if not LONG:
        monkeypatch.setattr(facts, "MOST_READ", facts.MOST_READ // 10)  # a tenth of the time
    document = pikepdf.new()
    page = document.add_blank_page(page_size=(187, 255))
    form = document.make_stream(b" " * 1_000_000, Subtype=Name.Form, BBox=[0, 0, 9, 9])
    page.Resources = Dictionary(XObject=Dictionary(X=form))
    page.Contents = document.make_stream(b"/X Do " * 90_000)
    finished = io.BytesIO()
    document.save(finished)
    found = page_facts(PdfReader(finished).pages[0], Size(Fraction(187), Fraction(255)), Fraction(1))
    assert found.pictures == ()


@pytest.fixture
def told(art_of, said, small):
    """What is said of a page of 66 x 90 mm that has these facts, by code."""

    def tell(printer=None, **known):
        page = art_of(66, 90, mm=True, shown="x.pdf")
        return said(replace(page, content=replace(page.content, facts=PageFacts(**known))), small, printer)

    return tell


@pytest.mark.parametrize(
    ("fonts", "words"),
    [
        (("Fox",), "uses 1 typeface that is not in the file (Fox); "),
        (("Ant", "Bee", "Cat"), "uses 3 typefaces that are not in the file (Ant, Bee, Cat); "),
        (("Ant", "Bee", "Cat", "Dog", "Eel"), "uses 5 typefaces that are not in the file (Ant, Bee, Cat and 2 more); "),
    ],
)
def test_of_many_typefaces_three_are_named(told, fonts, words):
    assert words in told(loose_fonts=fonts)["fonts-not-embedded"].message


@pytest.mark.parametrize("font", ["Helvetica", "Times-Roman", "Courier-Bold", "Symbol", "ZapfDingbats", "ArialMT"])
def test_the_typefaces_of_every_reader_are_warned_of_and_held_for_a_press(told, font):
    """The fourteen of ISO 32000-1 9.6.2.2, and Arial, as which writers name Helvetica (common practice, no source)."""
    press = PrinterSettings(name="press", output_profile="press.icc")
    assert told(loose_fonts=(font,))["fonts-not-embedded"].level is Level.WARN
    assert told(press, loose_fonts=(font,))["fonts-not-embedded"].level is Level.HOLD
    assert told(loose_fonts=(font, "Fox"))["fonts-not-embedded"].level is Level.HOLD


@pytest.mark.parametrize(
    ("annotations", "code", "level", "words"),
    [
        ({"fields": 1}, "fields-printed", Level.NOTE, "has 1 form field to be printed"),
        ({"fields": 3}, "fields-printed", Level.NOTE, "has 3 form fields to be printed"),
        ({"comments": 2}, "comments-printed", Level.WARN, "has 2 stamps or other comments that"),
        ({"remarks": 1}, "remarks-printed", Level.HOLD, "has 1 note for readers"),
        ({"left_out": 1}, "notes-left-out", Level.WARN, "has 1 comment or form field on its page"),
        ({"left_out": 2}, "notes-left-out", Level.WARN, "has 2 comments or form fields on its page"),
        (
            {"odd_letters": "你好"},
            "letters-missing",
            Level.HOLD,
            "with 2 letters that its form has no typeface for (你好)",
        ),
        (
            {"without_look": ("Stamp", "Line", "Stamp")},
            "printed-thing-missing",
            Level.HOLD,
            "has 3 things on its page to be printed (Line, Stamp)",
        ),
    ],
)
def test_each_kind_of_annotation_has_its_finding_and_no_other(told, annotations, code, level, words):
    findings = told(annotations=PageAnnotations(**annotations))
    assert list(findings) == [code]
    assert findings[code].level is level
    assert words in findings[code].message
