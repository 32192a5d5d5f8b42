"""A press sheet walked along the list of what PDF/X-4 asks and a PDF library can see.

Source of the list: prepressure.com/pdf/basics/pdfx-4; the X-1a list in issue 1 of Padam87/pdfbox-preflight; the rest of
ISO 15930-7 from memory. No full checker of the standard is packaged: this says "in structure", no more. The file is
read by pikepdf (qpdf), which had no part in writing it.
"""

import io
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from watcher.service.loop import Service

XMP = {
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "dc": "http://purl.org/dc/elements/1.1/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfxid": "http://www.npes.org/pdfx/ns/id/",
}


class Walked:
    """What a walk over every object of a file finds against it."""

    def __init__(self, pdf: pikepdf.Pdf) -> None:
        self.pdf, self.faults = pdf, []
        self._structure()
        self._metadata()
        self._intent()
        for page in pdf.pages:
            self._boxes(page)
        for found in pdf.objects:
            self._object(found)

    def must(self, holds: object, what: str) -> None:
        if not holds:
            self.faults.append(what)

    def _structure(self) -> None:
        root = self.pdf.Root
        self.must(self.pdf.pdf_version in ("1.4", "1.5", "1.6"), "version")
        self.must(not self.pdf.is_encrypted, "encrypted")
        self.must(len(self.pdf.trailer.get("/ID", ())) == 2, "no ID")
        for key in ("/OpenAction", "/AA", "/AcroForm"):
            self.must(key not in root, key)
        self.must("/JavaScript" not in root.get("/Names", {}), "scripts")
        self.must(self.pdf.docinfo.get("/Trapped") in ("/True", "/False"), "Info Trapped")

    def _metadata(self) -> None:
        stream = self.pdf.Root.Metadata
        self.must(stream.Type == "/Metadata" and stream.Subtype == "/XML" and "/Filter" not in stream, "metadata form")
        tree = ElementTree.fromstring(stream.read_bytes().decode("utf-8"))
        value = lambda name: (found := tree.find(f".//{name}", XMP)) is not None and "".join(found.itertext()).strip()  # noqa: E731
        info = self.pdf.docinfo
        self.must(value("pdfxid:GTS_PDFXVersion") == "PDF/X-4" == str(info["/GTS_PDFXVersion"]), "GTS_PDFXVersion")
        self.must(value("dc:title") == str(info["/Title"]), "title")
        self.must(value("pdf:Trapped") == "False" and info["/Trapped"] == "/False", "Trapped agrees")
        day = re.sub("[-:]", "", value("xmp:CreateDate")).replace("T", "")
        self.must(f"D:{day}" == str(info["/CreationDate"]) == str(info["/ModDate"]), "dates agree")
        self.must(value("xmp:ModifyDate") == value("xmp:MetadataDate") == value("xmp:CreateDate"), "dates in XMP")
        for name in ("DocumentID", "VersionID", "RenditionClass"):
            self.must(value(f"xmpMM:{name}"), name)

    def _intent(self) -> None:
        intents = [one for one in self.pdf.Root.OutputIntents if one.S == "/GTS_PDFX"]
        self.must(len(intents) == 1, "one intent")
        self.must(str(intents[0].OutputConditionIdentifier), "condition")
        profile = intents[0].DestOutputProfile
        data = profile.read_bytes()
        self.must(data[12:16] == b"prtr", "class of the profile")
        colours = {b"GRAY": 1, b"RGB ": 3, b"CMYK": 4}[data[16:20]]
        self.must(colours == profile.N, "N of the profile")
        self.intent = colours

    def _boxes(self, page: pikepdf.Page) -> None:
        self.must(("/TrimBox" in page.obj) != ("/ArtBox" in page.obj), "trim or art box")
        media, bleed, trim = ([float(edge) for edge in page.obj[f"/{name}Box"]] for name in ("Media", "Bleed", "Trim"))
        for outer, inner in ((media, bleed), (bleed, trim)):
            low = all(one <= other + 1e-6 for one, other in zip(outer[:2], inner[:2], strict=True))
            self.must(
                low and all(one >= other - 1e-6 for one, other in zip(outer[2:], inner[2:], strict=True)), "nested"
            )
        self.must("/Annots" not in page.obj, "annotations")

    def _object(self, found: Any) -> None:
        if not isinstance(found, pikepdf.Dictionary | pikepdf.Stream):
            return
        for key in ("/TR", "/TR2", "/HTP", "/OPI", "/JS", "/AA", "/PS"):
            self.must(key not in found or (key == "/TR" and "/G" in found), key)
        self.must(found.get("/Subtype") != "/PS", "PostScript")
        if found.get("/Type") == "/Font" and found.get("/Subtype") not in ("/Type0", "/Type3"):
            self.must(_is_embedded(found), f"font {found.get('/BaseFont')}")
        if isinstance(found, pikepdf.Stream):
            self.must("/LZWDecode" not in str(found.get("/Filter")), "LZW")
        if "/Resources" in found:
            self._colours(found)
        if found.get("/Subtype") == "/Image" and found.objgen not in self._masks():
            self._space(found.get("/ColorSpace"), {})
        if "/Group" in found and "/CS" in found.Group:
            self._space(found.Group.CS, {})

    def _masks(self) -> set[tuple[int, int]]:
        streams = (one for one in self.pdf.objects if isinstance(one, pikepdf.Stream))
        return {one.SMask.objgen for one in streams if "/SMask" in one}

    def _colours(self, found: Any) -> None:
        """Device colours in contents are covered where the resources say what they mean (ISO 32000-1 8.6.5.6)."""
        named = found.Resources.get("/ColorSpace", {})
        data = b"\n".join(part.read_bytes() for part in _contents(found))
        operators = {str(one.operator) for one in pikepdf.parse_content_stream(pikepdf.Stream(self.pdf, data))}
        if operators & {"rg", "RG"}:
            self.must(self.intent == 3 or "/DefaultRGB" in named, "device RGB in contents")
        if operators & {"k", "K"}:
            self.must(self.intent == 4 or "/DefaultCMYK" in named, "device CMYK in contents")
        if operators & {"g", "G"}:
            self.must(self.intent in (1, 4) or "/DefaultGray" in named, "device grey in contents")

    def _space(self, space: Any, named: Any) -> None:
        word = str(space) if isinstance(space, pikepdf.Name) else str(space[0]) if space is not None else ""
        covered = {"/DeviceRGB": (3,), "/DeviceCMYK": (4,), "/DeviceGray": (1, 4)}
        self.must(word not in covered or self.intent in covered[word], f"{word} without a meaning")
        if word == "/Indexed":
            self._space(space[1], named)


def _contents(found: Any) -> list[Any]:
    if isinstance(found, pikepdf.Stream):
        return [found]
    return list(found.Contents) if isinstance(found.Contents, pikepdf.Array) else [found.Contents]


def _is_embedded(font: Any) -> bool:
    return any(key in font.get("/FontDescriptor", {}) for key in ("/FontFile", "/FontFile2", "/FontFile3"))


@pytest.fixture
def shop(print_folder: Path, press_icc: bytes) -> Path:
    (print_folder / "press.icc").write_bytes(press_icc)
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace("[printers.office]", '[printers.office]\noutput_profile = "press.icc"'))
    return print_folder


def _rgb_png(image: Image.Image, file: Path) -> None:
    image.save(file.with_suffix(".png"))


def _cmyk_jpeg(image: Image.Image, file: Path) -> None:
    image.convert("CMYK").save(file.with_suffix(".jpg"))


def _palette(image: Image.Image, file: Path) -> None:
    image.quantize(20).save(file.with_suffix(".png"))


def _grey(image: Image.Image, file: Path) -> None:
    image.convert("L").save(file.with_suffix(".png"))


def _vector(image: Image.Image, file: Path) -> None:
    """A page in device RGB, CMYK and grey, with a group in device RGB and a transfer curve that must go."""
    drawn = io.BytesIO()
    canvas = Canvas(drawn, pagesize=(378, 522))
    canvas.setFillColorRGB(0.8, 0.9, 1)
    canvas.rect(0, 0, 378, 522, stroke=0, fill=1)
    canvas.setFillColorCMYK(0.2, 0.6, 0, 0.1)
    canvas.circle(120, 400, 60, stroke=0, fill=1)
    canvas.setFillGray(0.3)
    canvas.rect(150, 90, 90, 60, stroke=0, fill=1)
    canvas.save()
    with pikepdf.open(drawn) as pdf:
        page = pdf.pages[0]
        page.obj.Group = pikepdf.Dictionary(
            Type=pikepdf.Name.Group, S=pikepdf.Name.Transparency, CS=pikepdf.Name.DeviceRGB
        )
        curve = pikepdf.Dictionary(FunctionType=2, Domain=[0, 1], N=2)
        page.obj.Resources["/ExtGState"] = pikepdf.Dictionary(G1=pikepdf.Dictionary(TR=curve))
        pdf.save(file.with_suffix(".pdf"))


KINDS = {"RGB": _rgb_png, "CMYK": _cmyk_jpeg, "palette": _palette, "grey": _grey, "vector": _vector}


def _made(shop: Path, once: Any, draw_card: Any, kind: str) -> Iterator[pikepdf.Pdf]:
    for side in ("front", "back"):
        drawn = draw_card(shop / "drawn" / f"{side}.png", word=side)
        with Image.open(drawn) as image:
            KINDS[kind](image, shop / "inbox" / f"lantern_{side}.x")
    service: Service = once(shop)
    assert service.making.made == 1, (shop / "outbox/log.txt").read_text()
    with pikepdf.open(shop / "outbox/lantern/lantern_sheets.pdf") as pdf:
        yield pdf


@pytest.mark.parametrize("convert", [False, True], ids=["as it is", "converted"])
@pytest.mark.parametrize("kind", KINDS)
def test_a_press_sheet_has_all_that_the_list_asks(
    shop: Path, once: Any, draw_card: Any, kind: str, convert: bool
) -> None:
    if convert:
        file = shop / "settings.toml"
        file.write_text(file.read_text().replace("[printers.office]", "[printers.office]\nconvert = true"))
    for pdf in _made(shop, once, draw_card, kind):
        assert Walked(pdf).faults == []
        assert pdf.check_pdf_syntax() == []


def test_so_has_one_that_orders_share(shop: Path, once: Any, drop_pair: Any) -> None:
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace('size = "letter"', 'size = "letter"\ngang = true'))
    for name in ("lantern", "comet"):
        drop_pair(shop / "inbox", name)
    once(shop)
    (sheets,) = (shop / "outbox").glob("run-*/run-*_sheets.pdf")
    with pikepdf.open(sheets) as pdf:
        assert Walked(pdf).faults == []
        assert str(pdf.docinfo["/Title"]).startswith("run-")


def test_the_walk_finds_faults(shop: Path, once: Any, draw_card: Any) -> None:
    """The checker itself: things spoilt one by one are named."""
    spoilt = {
        "no ID": lambda pdf: pdf.trailer.__delitem__("/ID"),
        "trim or art box": lambda pdf: pdf.pages[0].obj.__delitem__("/TrimBox"),
        "Info Trapped": lambda pdf: pdf.docinfo.__setitem__("/Trapped", pikepdf.Name.Unknown),
        "title": lambda pdf: pdf.docinfo.__setitem__("/Title", "another"),
        "/OpenAction": lambda pdf: pdf.Root.__setitem__("/OpenAction", pikepdf.Dictionary()),
    }
    for pdf in _made(shop, once, draw_card, "RGB"):
        data = io.BytesIO()
        pdf.save(data)
    for fault, spoil in spoilt.items():
        with pikepdf.open(io.BytesIO(data.getvalue())) as pdf:
            spoil(pdf)
            if fault == "trim or art box":
                pdf.pages[0].obj["/TrimBox"] = pikepdf.Array([0, 0, 1, 1])
                pdf.pages[0].obj["/ArtBox"] = pikepdf.Array([0, 0, 1, 1])
            assert fault in Walked(pdf).faults


def test_without_a_profile_nothing_is_claimed(print_folder: Path, once: Any, drop_pair: Any) -> None:
    drop_pair(print_folder / "inbox")
    once(print_folder)
    data = (print_folder / "outbox/lantern/lantern_sheets.pdf").read_bytes()
    assert b"PDF/X" not in data
    assert b"/GTS" not in data
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert "/OutputIntents" not in pdf.Root
        assert "/Metadata" not in pdf.Root


def test_a_press_sheet_is_the_same_bytes_twice(shop: Path, once: Any, drop_pair: Any, tmp_path: Path) -> None:
    """No clock and no dice in its metadata: the day is that of the first making."""
    sheets = []
    for _ in range(2):
        drop_pair(shop / "inbox")
        once(shop)
        product = shop / "outbox/lantern"
        if not product.exists():
            product = shop / "outbox/lantern-2"
        sheets.append((product / f"{product.name}_sheets.pdf").read_bytes())
        product.rename(tmp_path / f"collected-{len(sheets)}")
    assert sheets[0] == sheets[1]
