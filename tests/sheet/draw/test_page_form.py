"""What a PDF from anywhere may leave in a sheet: its contents and resources, and nothing that acts, hides or calls."""

import io
from fractions import Fraction

import numpy as np
import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, String

from watcher.errors import ArtUnreadable
from watcher.layout.geometry import Size
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Side
from watcher.units import points_to_mm

WIDTH, HEIGHT = 60, 84
TRIM = Size(points_to_mm(Fraction(WIDTH)), points_to_mm(Fraction(HEIGHT)))


@pytest.fixture
def art_pdf():
    """A PDF of a page of 60 x 84 points that `change(document, page)` may spoil first."""

    def make(content=b"1 0 0 rg 0 0 60 84 re f", change=lambda document, page: None, pages=1):
        document = pikepdf.new()
        for _ in range(pages):
            page = document.add_blank_page(page_size=(WIDTH, HEIGHT))
            page.Contents = document.make_stream(content)
            page.Resources = Dictionary()
            change(document, page)
        finished = io.BytesIO()
        document.save(finished)
        return finished.getvalue()

    return make


@pytest.fixture
def sheet_of(opened, one_place, planned, face_of):
    """The sheet with this PDF as its only card, 10 mm from the left and from below."""

    def make(data):
        face = face_of(opened(data, "pdf"), TRIM)
        return draw_sheets(planned(one_place(TRIM), face))[0].pdf

    return make


@pytest.fixture
def card_on(sheet_of, render):
    """The middle of that card as it shows, one pixel a point."""

    def shown(data):
        page = render(sheet_of(data), ppi=72).astype(int)
        return page[page.shape[0] - 28 - HEIGHT + 5 : page.shape[0] - 28 - 5, 28 + 5 : 28 + WIDTH - 5]

    return shown


def all_of(document) -> str:
    """Everything in a file as text: each object, and each stream unpacked."""
    words = []
    for found in document.objects:
        words.append(
            repr(found.unparse(resolved=False)) if not isinstance(found, pikepdf.Stream) else repr(dict(found))
        )
        if isinstance(found, pikepdf.Stream) and found.get("/Subtype") != "/Image":
            words.append(found.read_bytes().decode("latin-1"))
    return "\n".join(words)


def spoil(document, page):
    """Puts the mark SECRET into every place known to carry more than a picture."""
    script = document.make_indirect(Dictionary(S=Name.JavaScript, JS=String("app.alert('SECRET')")))
    attached = document.make_stream(b"SECRET attached", Type=Name.EmbeddedFile)
    file = document.make_indirect(Dictionary(Type=Name.Filespec, F=String("SECRET.exe"), EF=Dictionary(F=attached)))
    document.Root.OpenAction = script
    document.Root.AA = Dictionary(WC=script)
    document.Root.Names = Dictionary(
        JavaScript=Dictionary(Names=Array([String("SECRET"), script])),
        EmbeddedFiles=Dictionary(Names=Array([String("SECRET"), file])),
    )
    document.Root.AcroForm = Dictionary(Fields=Array(), XFA=String("SECRET"))
    document.Root.Metadata = document.make_stream(b"<x>SECRET</x>", Type=Name.Metadata, Subtype=Name.XML)
    link = Dictionary(
        Type=Name.Annot, Subtype=Name.Link, Rect=[0, 0, 60, 84], A=Dictionary(S=Name.URI, URI=String("SECRET"))
    )
    page.Annots = Array([document.make_indirect(link)])
    page.AA = Dictionary(O=script)
    page.AF = Array([file])
    page.Metadata = document.make_stream(b"<x>SECRET</x>", Type=Name.Metadata, Subtype=Name.XML)
    page.PieceInfo = Dictionary(Editor=Dictionary(Private=String("SECRET")))
    page.Thumb = document.make_stream(b"SECRET", Width=1, Height=1)
    form = document.make_stream(
        b"0 0 1 rg 0 0 60 84 re f", Type=Name.XObject, Subtype=Name.Form, BBox=[0, 0, 60, 84], AF=Array([file]),
        PieceInfo=Dictionary(Editor=Dictionary(Private=String("SECRET"))), OPI=Dictionary(F=String("SECRET")),
        Metadata=page.Metadata, Ref=Dictionary(F=file), StructParents=3, AA=Dictionary(O=script),
        Odd=script, Nearer=Dictionary(S=Name.JavaScript, Text=String("SECRET")),
        Odder=Dictionary(Deep=Array([file, page.obj, script])),
    )  # fmt: skip
    image = document.make_stream(
        b"\xff\0\0", Type=Name.XObject, Subtype=Name.Image, Width=1, Height=1, BitsPerComponent=8,
        ColorSpace=Name.DeviceRGB, Alternates=Array([Dictionary(Image=attached)]), OPI=Dictionary(F=String("SECRET")),
        Metadata=page.Metadata,
    )  # fmt: skip
    postscript = document.make_stream(b"(SECRET) print", Type=Name.XObject, Subtype=Name.PS)
    page.Resources = Dictionary(
        XObject=Dictionary(AA=form, Metadata=image, JS=postscript),
        Properties=Dictionary(P0=Dictionary(Private=String("SECRET")), P1=script),
        Secrets=Dictionary(X=String("SECRET")),
    )


def test_nothing_that_acts_or_hides_comes_through(art_pdf, sheet_of, pdf):
    data = art_pdf(b"/AA Do q 10 0 0 10 0 0 cm /Metadata Do Q /P0 /P1 BDC EMC", spoil)
    document = pdf(sheet_of(data))
    assert "SECRET" in all_of(pdf(data))
    words = all_of(document)
    for sign in (
        "SECRET",
        "JavaScript",
        "EmbeddedFile",
        "Filespec",
        "/Annot",
        "/URI",
        "/PieceInfo",
        "/OPI",
        "/Ref",
        "/PS",
    ):
        assert sign not in words
    assert set(document.Root.keys()) == {"/Type", "/Pages", "/ViewerPreferences"}
    assert document.check_pdf_syntax() == []


def test_what_shows_still_shows_whatever_its_names(art_pdf, card_on):
    """Resources that happen to be called like things that are left behind are kept: /AA and /Metadata here."""
    shown = card_on(art_pdf(b"/AA Do q 60 0 0 42 0 0 cm /Metadata Do Q", spoil))
    assert (shown[:30] == (0, 0, 255)).all()
    assert (shown[-30:] == (255, 0, 0)).all()


def test_a_link_back_to_the_page_does_not_bring_the_whole_file(art_pdf, sheet_of):
    """A form that names its page, and so every page and all their images."""

    def change(document, page):
        heavy = document.make_stream(np.random.default_rng(1).bytes(200_000))
        page.Heavy = heavy
        form = document.make_stream(b"", Type=Name.XObject, Subtype=Name.Form, BBox=[0, 0, 1, 1], Odd=page.obj)
        page.Resources = Dictionary(XObject=Dictionary(F=form))

    assert len(sheet_of(art_pdf(b"/F Do", change))) < 20_000


def test_types_that_are_only_referred_to_are_seen_through(art_pdf, sheet_of, pdf):
    """/Type 9 0 R is as good as /Type /Filespec."""

    def change(document, page):
        kind = document.make_indirect(Name.Filespec)
        hidden = document.make_indirect(Dictionary(Type=kind, F=String("SECRET")))
        form = document.make_stream(b"", Type=Name.XObject, Subtype=Name.Form, BBox=[0, 0, 1, 1], Odd=hidden)
        page.Resources = Dictionary(XObject=Dictionary(F=form))

    assert "SECRET" not in all_of(pdf(sheet_of(art_pdf(b"/F Do", change))))


def test_contents_in_several_streams_are_one(art_pdf, card_on):
    """Split between two operators, as ISO 32000-1 Table 30 allows."""

    def change(document, page):
        page.Contents = Array([document.make_stream(b"0 1 0"), document.make_stream(b"rg 0 0 60 84 re f")])

    assert (card_on(art_pdf(change=change)) == (0, 255, 0)).all()


def test_inherited_resources_are_found(art_pdf, card_on):
    def change(document, page):
        state = Dictionary(ExtGState=Dictionary(G=Dictionary(ca=0.5)))
        del page.obj["/Resources"]
        document.Root.Pages.Resources = state

    shown = card_on(art_pdf(b"/G gs 0 g 0 0 60 84 re f", change))
    assert np.abs(shown - 128).max() <= 1


def test_a_form_without_resources_uses_those_of_its_page(art_pdf, sheet_of, pdf):
    """As files before PDF 1.2 mean it (ISO 32000-1 7.8.3); written out, so that every reader sees it."""

    def change(document, page):
        form = document.make_stream(b"/Sub Do", Type=Name.XObject, Subtype=Name.Form, BBox=[0, 0, 60, 84])
        blue = document.make_stream(
            b"0 0 1 rg 0 0 60 84 re f", Subtype=Name.Form, BBox=[0, 0, 60, 84], Resources=Dictionary()
        )
        page.Resources = Dictionary(XObject=Dictionary(F=form, Sub=blue))

    document = pdf(sheet_of(art_pdf(b"/F Do", change)))
    forms = [
        found for found in document.objects if isinstance(found, pikepdf.Stream) and found.get("/Subtype") == "/Form"
    ]
    assert len(forms) == 4  # card, page, F, Sub
    assert all("/Resources" in form for form in forms)


def test_a_page_drawn_with_transparency_keeps_its_group(art_pdf, sheet_of, pdf):
    def change(document, page):
        page.Group = Dictionary(S=Name.Transparency, CS=Name.DeviceRGB, I=True)

    document = pdf(sheet_of(art_pdf(change=change)))
    assert [
        found.Group.CS for found in document.objects if isinstance(found, pikepdf.Stream) and "/Group" in found
    ] == ["/DeviceRGB"]


@pytest.mark.parametrize("state", [{"OFF": True}, {"BaseState": True}])
def test_a_layer_that_is_switched_off_stays_off(art_pdf, card_on, state):
    """A cutting die on a hidden layer must not print (ISO 32000-1 8.11.4.3)."""

    def change(document, page):
        hidden = document.make_indirect(Dictionary(Type=Name.OCG, Name=String("die")))
        seen = document.make_indirect(Dictionary(Type=Name.OCG, Name=String("art")))
        shown = Dictionary(OFF=Array([hidden])) if "OFF" in state else Dictionary(BaseState=Name.OFF, ON=Array([seen]))
        document.Root.OCProperties = Dictionary(OCGs=Array([hidden, seen]), D=shown)
        page.Resources = Dictionary(Properties=Dictionary(L0=hidden, L1=seen))

    content = b"/OC /L1 BDC 0 1 0 rg 0 0 60 84 re f EMC /OC /L0 BDC 1 0 0 rg 0 0 60 84 re f EMC"
    assert (card_on(art_pdf(content, change)) == (0, 255, 0)).all()


def test_two_pages_of_one_file_are_told_apart_and_share_what_they_share(opened, one_place, planned, face_of, pdf):
    shared = {}

    def change(document, page):
        shared.setdefault("form", document.make_stream(b"0 0 1 rg 0 0 9 9 re f", Subtype=Name.Form, BBox=[0, 0, 9, 9]))
        page.Resources = Dictionary(XObject=Dictionary(F=shared["form"]))

    document = pikepdf.new()
    for content in (b"/F Do", b"/F Do /F Do"):
        page = document.add_blank_page(page_size=(WIDTH, HEIGHT))
        page.Contents = document.make_stream(content)
        change(document, page)
    finished = io.BytesIO()
    document.save(finished)
    arts = [opened(finished.getvalue(), "pdf", side, page) for side, page in ((Side.FRONT, 0), (Side.BACK, 1))]
    layout = one_place(TRIM)
    sheets = [draw_sheets(planned(layout, face_of(art, TRIM)))[0].pdf for art in arts]
    assert [all_of(pdf(sheet)).count("/F Do") for sheet in sheets] == [1, 2]


def test_objects_without_end_are_refused(art_pdf, sheet_of):
    def change(document, page):
        deep = Array()
        for _ in range(400):
            deep = document.make_indirect(Dictionary(Next=deep))
        page.Resources = Dictionary(ExtGState=Dictionary(G=deep))

    with pytest.raises(ArtUnreadable, match="is damaged"):
        sheet_of(art_pdf(b"", change))
