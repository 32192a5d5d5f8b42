"""Copy a page of a customer's PDF into ours as a form: contents and resources alone, rebuilt object by object.

Nothing is taken that is not named here or reached through something that is: no actions, scripts, annotations,
attachments, metadata, private data of editors or links to other files. Layers that are switched off in the page's own
file stay off. Source: ISO 32000-1 7.8.3 (resources), 8.10 (forms), 8.11 (optional content), 14.5 (page-piece data).
"""

from enum import Enum

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NullObject,
    PdfObject,
    RectangleObject,
    StreamObject,
)

from watcher.art.pdf.layers import hidden_layers
from watcher.sheet.matrix import Matrix, as_array

_CATEGORIES = frozenset(
    {"/ExtGState", "/ColorSpace", "/Pattern", "/Shading", "/XObject", "/Font", "/Properties", "/ProcSet"}
)
_NAME_TABLES = frozenset({"/CharProcs", "/Colorants"})  # keys in these are names that people chose
# fmt: off
_DROPPED = frozenset(
    {
        "/A", "/AA", "/AcroForm", "/AF", "/Alternates", "/Annots", "/Dests", "/EF", "/EmbeddedFiles",
        "/GeospatialData", "/JavaScript", "/JS", "/LastModified", "/Launch", "/Measure", "/Metadata", "/Movie",
        "/Names", "/OpenAction", "/OPI", "/Outlines", "/Parent", "/PieceInfo", "/PtData", "/Ref", "/RichMedia",
        "/Sound", "/StructParent", "/StructParents", "/Threads", "/Thumb", "/URI", "/Usage", "/XFA",
    }
)
_FOREIGN_DATA = frozenset({"/F", "/FFilter", "/FDecodeParms"})  # a stream kept in another file
_REFUSED_TYPES = frozenset(
    {
        "/Action", "/Annot", "/Catalog", "/EmbeddedFile", "/Filespec", "/Metadata", "/ObjStm", "/Outlines",
        "/Page", "/Pages", "/Sig", "/StructTreeRoot", "/XRef",
    }
)
# fmt: on
_DEEPEST = 200  # objects within objects; honest art stays far below (our own choice)


class TooDeep(Exception):
    """A PDF whose objects nest too deep."""


class _Role(Enum):
    PLAIN = "keys have the meaning that the standard gives them"
    RESOURCES = "keys are categories of resources"
    NAMES = "keys are names that the page's contents use"
    LAYERS = "keys are names; only layers are worth keeping"


class PageForms:
    """Adds pages to one file as forms; what pages share is stored once."""

    def __init__(self, writer: PdfWriter) -> None:
        self._writer = writer
        self._done: dict[tuple[int, int, int], PdfObject] = {}
        self._layers: list[IndirectObject] = []
        self._hidden_layers: list[IndirectObject] = []
        self._readers: list[PdfReader] = []  # keeps the identity of each reader alive

    def add(self, reader: PdfReader, number: int, view: RectangleObject, matrix: Matrix) -> IndirectObject:
        """Add a page and return the reference of its form.

        Args:
            reader: the PDF that the page is in; not encrypted.
            number: of the page, from 0.
            view: the part that is seen, in the page's own axes.
            matrix: brings the view to where the form is drawn.

        Raises:
            TooDeep: the page's objects nest without end.
        """
        self._readers.append(reader)
        hidden = hidden_layers(reader)
        page = reader.pages[number]
        resources = _PageCopy(self, hidden).resources(page)
        form = StreamObject()
        form.set_data(_contents(page))
        form.update(
            {
                NameObject("/Type"): NameObject("/XObject"),
                NameObject("/Subtype"): NameObject("/Form"),
                NameObject("/BBox"): view,
                NameObject("/Matrix"): as_array(matrix),
                NameObject("/Resources"): resources,
            }
        )
        packed = form.flate_encode()
        if "/Group" in page:
            packed[NameObject("/Group")] = _PageCopy(self, hidden).value(page.raw_get("/Group"))
        return self._writer._add_object(packed)

    @property
    def layers(self) -> DictionaryObject | None:
        """The catalog entry of optional content (ISO 32000-1 8.11.4), or None when no page has layers."""
        if not self._layers:
            return None
        order = DictionaryObject({NameObject("/OFF"): ArrayObject(self._hidden_layers)})
        return DictionaryObject({NameObject("/OCGs"): ArrayObject(self._layers), NameObject("/D"): order})


class _PageCopy:
    """The walk over the objects of one page."""

    def __init__(self, forms: PageForms, hidden: frozenset[int]) -> None:
        self._forms = forms
        self._hidden = hidden
        self._page_resources: PdfObject = DictionaryObject()
        self._depth = 0

    def resources(self, page: PageObject) -> PdfObject:
        """The page's resources in the new file, as a reference."""
        target = DictionaryObject()
        self._page_resources = self._forms._writer._add_object(target)
        source = _entry(page, "/Resources")
        if isinstance(source, DictionaryObject):
            self._fill(target, source, _Role.RESOURCES)
        return self._page_resources

    def value(self, source: PdfObject, role: _Role = _Role.PLAIN) -> PdfObject:
        """The copy of `source` in the new file."""
        if isinstance(source, IndirectObject):
            return self._referred(source, role)
        self._depth += 1
        if self._depth > _DEEPEST:
            raise TooDeep
        try:
            return self._direct(source, role)
        finally:
            self._depth -= 1

    def _direct(self, source: PdfObject, role: _Role) -> PdfObject:
        if isinstance(source, DictionaryObject):
            target = _empty_like(source)
            return target if self._fill(target, source, role) else NullObject()
        if isinstance(source, ArrayObject):
            return ArrayObject([self.value(part) for item in source for part in _parted(item)])
        return source

    def _referred(self, source: IndirectObject, role: _Role) -> PdfObject:
        key = (id(source.pdf), source.idnum, source.generation)
        if key in self._forms._done:
            return self._forms._done[key]
        found = source.get_object()
        if not isinstance(found, DictionaryObject):
            return self.value(found, role) if found is not None else NullObject()
        if _is_refused(found):
            return NullObject()
        target = _empty_like(found)
        reference = self._forms._writer._add_object(target)
        self._forms._done[key] = reference
        self._note_layer(found, source.idnum, reference)
        self._depth += 1
        if self._depth > _DEEPEST:
            raise TooDeep
        self._fill(target, found, role)
        self._depth -= 1
        return reference

    def _note_layer(self, found: DictionaryObject, number: int, reference: IndirectObject) -> None:
        if _says(found, "/Type", "/OCG"):
            self._forms._layers.append(reference)
            if number in self._hidden:
                self._forms._hidden_layers.append(reference)

    def _fill(self, target: DictionaryObject, source: DictionaryObject, role: _Role) -> bool:
        """Copy the entries that may be copied; False when the whole object must not be."""
        if role is _Role.PLAIN and _is_refused(source):
            return False
        for key in source:
            inner = _inner_role(key, role, source)
            if inner is not None:
                target[NameObject(key)] = self.value(source.raw_get(key), inner)
        if role is _Role.PLAIN and _needs_resources(source):
            target[NameObject("/Resources")] = self._page_resources
        return True


def _inner_role(key: str, role: _Role, source: DictionaryObject) -> _Role | None:
    """The role of the value of `key`; None when it is left out."""
    if role is _Role.RESOURCES:
        if key not in _CATEGORIES:
            return None
        return {"/ProcSet": _Role.PLAIN, "/Properties": _Role.LAYERS}.get(key, _Role.NAMES)
    if role is _Role.LAYERS:
        return _Role.PLAIN if _is_layer(source.raw_get(key)) else None
    if role is _Role.NAMES:
        return _Role.PLAIN
    if key in _DROPPED or (isinstance(source, StreamObject) and (key in _FOREIGN_DATA or key == "/Length")):
        return None
    if key == "/Resources":
        return _Role.RESOURCES
    return _Role.NAMES if key in _NAME_TABLES else _Role.PLAIN


def _is_layer(value: PdfObject) -> bool:
    found = value.get_object()
    return isinstance(found, DictionaryObject) and _says(found, "/Type", "/OCG", "/OCMD")


def _is_refused(source: DictionaryObject) -> bool:
    return (
        _says(source, "/Type", *_REFUSED_TYPES)
        or _says(source, "/Subtype", "/PS")  # PostScript inside a PDF
        or _says(source, "/S", "/JavaScript", "/Launch", "/URI", "/SubmitForm", "/GoToR", "/GoToE")
    )


def _needs_resources(source: DictionaryObject) -> bool:
    """Whether a form or Type 3 font has no resources, as in old files, and uses the page's (ISO 32000-1 7.8.3)."""
    is_form = isinstance(source, StreamObject) and _says(source, "/Subtype", "/Form")
    is_drawn_font = _says(source, "/Type", "/Font") and _says(source, "/Subtype", "/Type3")
    return (is_form or is_drawn_font) and "/Resources" not in source


def _parted(item: PdfObject) -> list[PdfObject]:
    """An item of an array, split at zero bytes: some writers separate a name and a number by one.

    That is white space (ISO 32000-1 Table 1) and can be in no name (7.3.5), but the reader takes it for one.
    """
    if not isinstance(item, NameObject) or "\0" not in item:
        return [item]
    name, *rest = str(item).split("\0")
    return [NameObject(name), *(FloatObject(part) for part in rest if part)]


def _empty_like(source: DictionaryObject) -> DictionaryObject:
    if not isinstance(source, StreamObject):
        return DictionaryObject()
    target = StreamObject()
    target.set_data(source._data)  # as it is stored, compressed or not: never unpacked
    return target


def _contents(page: PageObject) -> bytes:
    contents = page.get_contents()
    return b"" if contents is None else contents.get_data()


def _entry(source: DictionaryObject, key: str) -> PdfObject | None:
    """The value of a key with its reference resolved; None without one."""
    value = source.raw_get(key) if key in source else None
    return value.get_object() if value is not None else None


def _says(source: DictionaryObject, key: str, *words: str) -> bool:
    """Whether the value of a key is one of these names."""
    value = _entry(source, key)
    return isinstance(value, NameObject) and value in words
