"""PDFs that lie, nest, unpack or carry what a card has no use for. Forms: ISO 32000-1."""

import io
import zlib

import pikepdf
import pytest

WITHOUT_END = ("without end",)


def pdf(objects, trailer=b""):
    """A PDF of these numbered objects with a right cross-reference table (7.5); 1 is the catalog."""
    parts, places, at = [b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"], {}, 15
    for number, body in objects.items():
        places[number] = at
        parts.append(b"%d 0 obj\n%b\nendobj\n" % (number, body))
        at += len(parts[-1])
    rows = [
        b"%010d 00000 n \n" % places[one] if one in places else b"0000000000 00000 f \n"
        for one in range(1, max(objects) + 1)
    ]
    parts.append(b"xref\n0 %d\n0000000000 65535 f \n%b" % (len(rows) + 1, b"".join(rows)))
    parts.append(b"trailer\n<</Size %d/Root 1 0 R%b>>\nstartxref\n%d\n%%%%EOF\n" % (len(rows) + 1, trailer, at))
    return b"".join(parts)


def stream(data, head=b""):
    """A stream object."""
    return b"<</Length %d%b>>stream\n%b\nendstream" % (len(data), head, data)


def page_pdf(
    contents=b"0.2 0.4 0.6 rg 20 20 150 90 re f",
    resources=b"<<>>",
    more=None,
    *,
    page=b"",
    catalog=b"",
    box=b"[0 0 257.95 172.91]",
    contents_head=b"",
):
    """A PDF of one page of the card's size with bleed: the page is object 3, its contents 4; 10 and up are free."""
    return pdf(
        {
            1: b"<</Type/Catalog/Pages 2 0 R%b>>" % catalog,
            2: b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
            3: b"<</Type/Page/Parent 2 0 R/MediaBox%b/Contents 4 0 R/Resources %b%b>>" % (box, resources, page),
            4: stream(contents, contents_head),
            **(more or {}),
        }
    )


def pages(count):
    """A PDF of so many blank pages."""
    kids = b" ".join(b"%d 0 R" % (number + 10) for number in range(count))
    page = b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 257.95 172.91]>>"
    tree = {1: b"<</Type/Catalog/Pages 2 0 R>>", 2: b"<</Type/Pages/Kids[%b]/Count %d>>" % (kids, count)}
    return pdf(tree | {number + 10: page for number in range(count)})


NO_PRINT = pikepdf.Permissions(print_lowres=False, print_highres=False)


def locked(data, **options):
    """The PDF with a password or with rights withheld."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as opened:
        opened.save(out, encryption=pikepdf.Encryption(**options))
    return out.getvalue()


def packed_again(text, times):
    """A text so often, as zlib packs it (RFC 1951), without its check sum: nobody is to come that far."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    unit = text * (1 + (1 << 20) // len(text))
    return b"\x78\xda" + (packer.compress(unit) + packer.flush(zlib.Z_FULL_FLUSH)) * times


def forms(levels, doublings, last=b"0 0 1 1 re f"):
    """Objects 10, 11, …: each form draws the next one so often; the last one paints."""
    objects = {}
    for level in range(levels):
        own = 10 + level
        if level == levels - 1:
            objects[own] = stream(last, b"/Type/XObject/Subtype/Form/BBox[0 0 300 300]")
        else:
            head = b"/Type/XObject/Subtype/Form/BBox[0 0 300 300]/Resources<</XObject<</F %d 0 R>>>>" % (own + 1)
            objects[own] = stream(b"/F Do " * doublings, head)
    return objects


FORM = b"/Type/XObject/Subtype/Form/BBox[0 0 300 300]"
TILE = b"/Type/Pattern/PatternType 1/PaintType 1/TilingType 1/BBox[0 0 9 9]/XStep 9/YStep 9"
PAINT_TILE = b"/Pattern cs /P scn 0 0 250 170 re f"


def _without_end():
    """Of the first, 576 bytes took 24 GB in pdfium. Source: measured with pypdfium2 5."""
    own_name = b"<</XObject<</F 10 0 R>>>>"
    tile_of = b"<</Pattern<</P 10 0 R>>>>"
    return {
        "itself.pdf": (
            page_pdf(b"/F Do", own_name, {10: stream(b"/F Do /F Do", FORM + b"/Resources" + own_name)}),
            WITHOUT_END,
        ),
        "in-a-ring.pdf": (
            page_pdf(
                b"/F Do",
                own_name,
                {
                    10: stream(b"/F Do /F Do", FORM + b"/Resources<</XObject<</F 11 0 R>>>>"),
                    11: stream(b"/F Do /F Do", FORM + b"/Resources<</XObject<</F 10 0 R>>>>"),
                },
            ),
            WITHOUT_END,
        ),
        "doubling.pdf": (page_pdf(b"/F Do", own_name, forms(30, 2)), WITHOUT_END),
        "deep.pdf": (page_pdf(b"/F Do", own_name, forms(5000, 1)), ("30 deep",)),
        "tile-in-itself.pdf": (
            page_pdf(PAINT_TILE, tile_of, {10: stream(PAINT_TILE * 2, TILE + b"/Resources" + tile_of)}),
            WITHOUT_END,
        ),
        "doubling-tiles.pdf": (
            page_pdf(
                PAINT_TILE,
                tile_of,
                {
                    **{
                        n: stream(PAINT_TILE * 9, TILE + b"/Resources<</Pattern<</P %d 0 R>>>>" % (n + 1))
                        for n in range(10, 30)
                    },
                    30: stream(b"0 0 1 1 re f", TILE + b"/Resources<<>>"),
                },
            ),
            WITHOUT_END,
        ),
        "mask-in-itself.pdf": (
            page_pdf(
                b"/G gs 0 0 99 99 re f",
                b"<</ExtGState<</G 11 0 R>>>>",
                {
                    10: stream(
                        b"/G gs 0 0 99 99 re f",
                        FORM + b"/Group<</S/Transparency/CS/DeviceGray>>/Resources<</ExtGState<</G 11 0 R>>>>",
                    ),
                    11: b"<</Type/ExtGState/SMask<</S/Luminosity/G 10 0 R>>>>",
                },
            ),
            WITHOUT_END,
        ),
        "letter-in-itself.pdf": (
            page_pdf(
                b"BT /T 9 Tf (a) Tj ET",
                b"<</Font<</T 10 0 R>>>>",
                {
                    10: b"<</Type/Font/Subtype/Type3/FontBBox[0 0 9 9]/FontMatrix[1 0 0 1 0 0]"
                    b"/CharProcs<</a 11 0 R>>"
                    b"/Encoding<</Differences[97/a]>>/FirstChar 97/LastChar 97/Widths[9]"
                    b"/Resources<</Font<</T 10 0 R>>>>>>",
                    11: stream(b"9 0 d0 BT /T 9 Tf (aa) Tj ET"),
                },
            ),
            WITHOUT_END,
        ),
        "comment.pdf": (
            page_pdf(
                b"/F%hidden\nDo",
                own_name,
                {10: stream(b"/F%x\nDo /F%x\nDo", FORM + b"/Resources" + own_name)},
            ),
            WITHOUT_END,
        ),
    }


def _bombs():
    flate = b"/Filter/FlateDecode"
    zeros = packed_again(b"\0", 1024)
    paint = packed_again(b"0 0 1 1 re f ", 200)
    double = zlib.compress(zeros, 9)
    image = b"/Type/XObject/Subtype/Image/Width %d/Height %d/ColorSpace/DeviceGray/BitsPerComponent 8"
    rows = zeros
    return {
        "contents.pdf": (page_pdf(paint, contents_head=flate), ("unpacks",)),
        "twice.pdf": (page_pdf(double, contents_head=b"/Filter[/FlateDecode/FlateDecode]"), ("unpacks",)),
        "image.pdf": (
            page_pdf(
                b"258 0 0 173 0 0 cm /I Do",
                b"<</XObject<</I 10 0 R>>>>",
                {10: stream(rows, image % (60_000, 60_000) + flate)},
            ),
            ("60,000 x 60,000 px",),
        ),
        "image-2g.pdf": (
            page_pdf(
                b"258 0 0 173 0 0 cm /I Do",
                b"<</XObject<</I 10 0 R>>>>",
                {10: stream(b"abc", image % (2_000_000_000, 2_000_000_000) + flate)},
            ),
            ("px",),
        ),
    }


def _pages_boxes_and_locks():
    sound = page_pdf()
    return {
        "many.pdf": (pages(10_000), ("10,000 pages",)),
        "many-too-many.pdf": (pages(501), ("501 pages",)),  # 500 designs are the most
        "none.pdf": (page_pdf().replace(b"/Kids[3 0 R]/Count 1", b"/Kids[     ]/Count 0"), ("page",)),
        "liar.pdf": (page_pdf().replace(b"/Count 1", b"/Count 9").replace(b"/Kids[3", b"/Kids[2"), ()),
        "wide.pdf": (page_pdf(box=b"[0 0 9000000 9000000]"), ("mm", "possible")),
        "14400.pdf": (page_pdf(box=b"[0 0 14400 14400]"), ("mm", "possible")),
        "tiny.pdf": (page_pdf(box=b"[0 0 1 1]"), ("mm", "possible")),
        "inverse.pdf": (page_pdf(page=b"/CropBox[900 900 999 999]"), ("crop box",)),
        "endless.pdf": (page_pdf(box=b"[0 0 1e999 1e999]"), ()),
        "words.pdf": (page_pdf(box=b"[/a /b /c /d]"), ()),
        "unit.pdf": (page_pdf(page=b"/UserUnit 99999999"), ("unit",)),
        "turned.pdf": (page_pdf(page=b"/Rotate 45"), ("45",)),
        "password.pdf": (locked(sound, user="secret", owner="x", R=6), ("locked", "protection")),
        "owner.pdf": (locked(sound, user="", owner="x", R=6, allow=NO_PRINT), ("locked", "protection")),
        "rc4.pdf": (
            locked(sound, user="", owner="x", R=3, aes=False, metadata=False, allow=NO_PRINT),
            ("does not allow printing",),
        ),
        "cut.pdf": (sound[: len(sound) * 2 // 3], ("not complete",)),
        "cut7.pdf": (sound[:-7], ("not complete",)),
        "zeros.pdf": (sound[:400] + bytes(len(sound) - 400), ("not complete",)),
    }


CASES = {**_without_end(), **_bombs(), **_pages_boxes_and_locks()}


@pytest.fixture(scope="module")
def outcome(run_over, bad):
    return run_over(bad(name=name, data=data) for name, (data, _) in CASES.items())


@pytest.mark.parametrize("name", CASES)
def test_it_is_held_with_its_true_reason(outcome, bad, name):
    data, words = CASES[name]
    assert outcome.shop.wrong_with(bad(name=name, data=data), words) is None


def test_everything_else_is_unharmed(outcome):
    outcome.assert_promises()


def test_a_page_with_scripts_actions_and_attachments_is_made_without_them(print_folder, once):
    """Nothing but the page's look goes onto the sheet."""
    script = b"<</S/JavaScript/JS(app.alert\\(1\\))>>"
    data = page_pdf(
        catalog=b"/OpenAction" + script + b"/AA<</WC" + script + b">>/Names<</JavaScript<</Names[(a)" + script + b"]>>"
        b"/EmbeddedFiles<</Names[(evil.exe)<</Type/Filespec/F(evil.exe)/EF<</F 20 0 R>>>>]>>>>/AcroForm<</XFA 20 0 R>>",
        page=b"/AA<</O" + script + b">>/Annots[<</Type/Annot/Subtype/Link/Rect[0 0 99 99]/A<</S/URI/URI(http://x)>>>>"
        b"<</Type/Annot/Subtype/FileAttachment/Rect[0 0 9 9]/FS<</EF<</F 20 0 R>>>>>>]",
        more={20: stream(b"MZ-evil-payload", b"/Type/EmbeddedFile")},
    )
    (print_folder / "inbox/tag").mkdir()
    (print_folder / "inbox/tag/scripted.pdf").write_bytes(data)
    once(print_folder)
    sheets = (print_folder / "outbox/scripted/scripted_sheets.pdf").read_bytes()
    with pikepdf.open(io.BytesIO(sheets)) as opened:
        everything = b"".join(_all_bytes(thing) for thing in opened.objects)
    for word in (b"JavaScript", b"alert", b"URI", b"evil", b"EmbeddedFile", b"/Annot", b"OpenAction", b"XFA"):
        assert word not in everything
    assert (print_folder / "archive/scripted/scripted.pdf").read_bytes() == data


def _all_bytes(thing):
    if isinstance(thing, pikepdf.Stream):
        return repr(thing.stream_dict).encode() + thing.read_raw_bytes()
    return thing.unparse(resolved=True)
