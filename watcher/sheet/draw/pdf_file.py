"""Assemble one PDF: each art is stored once, pages share their parts, and the same input gives the same bytes."""

import hashlib
import io
from collections.abc import Mapping
from fractions import Fraction

from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    ByteStringObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NumberObject,
    RectangleObject,
    StreamObject,
)

from watcher.art.model import CardFace, ImageStream, Raster, VectorPage
from watcher.errors import ArtUnreadable
from watcher.layout.geometry import Size
from watcher.sheet.draw.bleed import End
from watcher.sheet.draw.boxes import page_boxes, rectangle
from watcher.sheet.draw.card import (
    DrawnArt,
    card_box,
    card_content,
    page_size,
    upright_page,
    upright_raster,
    wanted_edges,
)
from watcher.sheet.draw.edge_pixels import edge_images
from watcher.sheet.draw.image import add_image
from watcher.sheet.draw.page_form import PageForms
from watcher.sheet.draw.pdfx import Press, add_pdfx
from watcher.sheet.matrix import scaled
from watcher.terms import SIMPLEX, Duplex, Flip

_HEADER = "%PDF-1.6"
_PRODUCER = "print-folder-watcher"
# ISO 32000-1 Table 150: other numbers are ignored, and some readers then ask for one copy.
_COPIES_THAT_A_READER_TAKES = range(2, 6)


class PdfFile:
    """A PDF that is being written."""

    def __init__(self) -> None:
        self._writer = PdfWriter()
        self._writer.pdf_header = _HEADER
        self._writer.metadata = {"/Producer": _PRODUCER}
        self._forms = PageForms(self._writer)
        self._images: dict[ImageStream, IndirectObject] = {}
        self._profiles: dict[bytes, IndirectObject] = {}
        self._arts: dict[Raster | VectorPage, DrawnArt] = {}
        self._cards: dict[tuple[CardFace, Size], IndirectObject] = {}
        self._readers: dict[bytes, PdfReader] = {}  # pages of one file share what it holds
        self._hash = hashlib.sha256()

    def card(self, face: CardFace, trim: Size) -> IndirectObject:
        """The form that draws a face of a card, added once."""
        key = (face, trim)
        if key not in self._cards:
            drawn = self._art(face)
            edges = self._edges(face, trim)
            names = {end: f"/E{number}" for number, end in enumerate(edges, start=1)}
            content = card_content(face, trim, drawn, names)
            self._hash.update(f"{face.art.sha256} {face.art.file}\n".encode("utf-8", "surrogateescape") + content)
            resources = _resources({"/A": drawn.ref} | {names[end]: ref for end, ref in edges.items()})
            self._cards[key] = self._add_form(content, rectangle(card_box(face, trim)), resources)
        return self._cards[key]

    def pages_of(self, pdf: bytes) -> list[IndirectObject]:
        """The pages of a PDF of our own as forms; the lower left of each is the form's origin."""
        reader = PdfReader(io.BytesIO(pdf))
        self._hash.update(pdf)
        plain = scaled(Fraction(1), Fraction(1))
        return [
            self._forms.add(reader, page, RectangleObject(reader.pages[page].mediabox), plain)
            for page in range(len(reader.pages))
        ]

    def content(self, operators: bytes) -> IndirectObject:
        """A content stream for one page or several."""
        self._hash.update(operators)
        stream = StreamObject()
        stream.set_data(operators)
        return self._writer._add_object(stream.flate_encode())

    def resources(self, drawn: Mapping[str, IndirectObject]) -> IndirectObject:
        """The resources of a page: the forms it draws, by name."""
        return self._writer._add_object(_resources(drawn))

    def add_page(self, sheet: Size, content: IndirectObject, resources: IndirectObject) -> None:
        """Add a page in the orientation of its sheet (mm); no /Rotate."""
        page = self._writer.add_blank_page(1, 1)
        page.update(page_boxes(sheet))
        page[NameObject("/Contents")] = content
        page[NameObject("/Resources")] = resources
        self._hash.update(repr(sheet).encode())

    def set_printing(self, duplex: Duplex | None, flip: Flip | None, copies: int | None) -> None:
        """Set the viewer preferences for printing (ISO 32000-1 Table 150), which readers may ignore.

        Args:
            duplex: None or manual: one side at a time.
            flip: the edge that the printer turns on, with automatic duplex.
            copies: how often each page is wanted; None: the pages are repeated in the file.
        """
        word = flip.duplex_name if duplex is Duplex.AUTOMATIC and flip is not None else SIMPLEX
        wanted = DictionaryObject(
            {
                NameObject("/PrintScaling"): NameObject("/None"),
                NameObject("/Duplex"): NameObject(word),
                NameObject("/PickTrayByPDFSize"): BooleanObject(True),
            }
        )
        if copies in _COPIES_THAT_A_READER_TAKES:
            wanted[NameObject("/NumCopies")] = NumberObject(copies)
        self._writer.root_object[NameObject("/ViewerPreferences")] = wanted
        self._hash.update(repr(wanted).encode())

    def set_press(self, press: Press) -> None:
        """Make the file a PDF/X-4 for a press; to be called when everything else is in it."""
        self._hash.update(repr((press.title, press.date)).encode() + press.profile.data)
        add_pdfx(self._writer, press, self._hash.digest(), self._profiles)

    def to_bytes(self) -> bytes:
        """The finished file. Its /ID is a hash of its content (ISO 32000-1 14.4), so that it is reproducible."""
        if (layers := self._forms.layers) is not None:
            self._writer.root_object[NameObject("/OCProperties")] = layers
        mark = ByteStringObject(self._hash.digest()[:16])
        self._writer._ID = ArrayObject([mark, mark])
        finished = io.BytesIO()
        self._writer.write(finished)
        return finished.getvalue()

    @property
    def page_tree(self) -> int:
        """The object number of the page tree's root."""
        return int(self._writer.root_object.raw_get("/Pages").idnum)

    @property
    def arts(self) -> dict[ImageStream | VectorPage, int]:
        """The object numbers of the art's pictures and pages, without the edge images of made bleed."""
        found: dict[ImageStream | VectorPage, int] = {stream: ref.idnum for stream, ref in self._images.items()}
        found.update({art: drawn.ref.idnum for art, drawn in self._arts.items() if isinstance(art, VectorPage)})
        return found

    def _art(self, face: CardFace) -> DrawnArt:
        content = face.art.content
        if content not in self._arts:
            self._arts[content] = self._raster(content) if isinstance(content, Raster) else self._page(face, content)
        return self._arts[content]

    def _edges(self, face: CardFace, trim: Size) -> dict[tuple[End, End], IndirectObject]:
        """The edge images of a face whose edges are extended, by the piece of bleed that each fills."""
        wanted = wanted_edges(face, trim)
        if not wanted or not isinstance(face.art.content, Raster):
            return {}
        images = edge_images(face.art.content, wanted)
        return {end: add_image(self._writer, image, self._profiles) for end, image in images.items()}

    def _raster(self, raster: Raster) -> DrawnArt:
        if raster.stream not in self._images:
            self._images[raster.stream] = add_image(self._writer, raster.stream, self._profiles)
        return DrawnArt(ref=self._images[raster.stream], upright=upright_raster(raster))

    def _page(self, face: CardFace, page: VectorPage) -> DrawnArt:
        view = page.view
        corners = (view.left, view.bottom, view.right, view.top)
        box = RectangleObject(tuple(FloatObject(float(corner)) for corner in corners))
        try:
            if page.pdf not in self._readers:
                self._readers[page.pdf] = PdfReader(io.BytesIO(page.pdf))
            reader = self._readers[page.pdf]
            ref = self._forms.add(reader, page.page, box, upright_page(page))
        except Exception as cause:  # pypdf raises nearly anything for broken files (found by trying)
            raise ArtUnreadable(face.art.file, "is damaged or not complete") from cause
        size = page_size(page)
        return DrawnArt(ref=ref, upright=scaled(1 / size.width, 1 / size.height))

    def _add_form(self, content: bytes, box: RectangleObject, resources: DictionaryObject) -> IndirectObject:
        form = StreamObject()
        form.set_data(content)
        form.update(
            {
                NameObject("/Type"): NameObject("/XObject"),
                NameObject("/Subtype"): NameObject("/Form"),
                NameObject("/BBox"): box,
                NameObject("/Resources"): resources,
            }
        )
        return self._writer._add_object(form)


def _resources(drawn: Mapping[str, IndirectObject]) -> DictionaryObject:
    named = DictionaryObject({NameObject(name): ref for name, ref in drawn.items()})
    return DictionaryObject({NameObject("/XObject"): named})
