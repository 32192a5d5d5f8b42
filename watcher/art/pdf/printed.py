"""Flatten a PDF: draw its printed annotations (form fields, stamps, text boxes) into the contents of its pages.

A look that the file does not have is made by pdfium, as it makes it for a printout. Everything stays vector. Source:
ISO 32000-1 12.5.5 (where a look is drawn), 12.7.3.3 (fields whose look is to be made), 12.7.4.4 (choices).
"""

import io
import math
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from functools import lru_cache

import pypdfium2
from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    DictionaryObject,
    NameObject,
    NumberObject,
    PdfObject,
    StreamObject,
    TextStringObject,
)

from watcher.art.model import PageAnnotations
from watcher.art.pdf.annotations import (
    annotations_of,
    count_annotations,
    entry,
    inherited,
    is_drawn_nowhere,
    is_printed,
    look_of,
    odd_letters,
    should_show,
)
from watcher.art.pdf.layers import hidden_layers
from watcher.inbox.readable_pdf import saved_plain
from watcher.layout.affine import IDENTITY, Floats, applied

_NO_ROTATE = 16  # annotation flag (Table 165)
_COMBO = 1 << 17  # flag of a choice that shows its value alone (Table 230)


@dataclass(frozen=True, kw_only=True, eq=False)
class PrintedPdf:
    """A PDF with what is printed drawn into its pages.

    Attributes:
        data: the file.
        reader: the library at it.
        annotations: what each page had.
    """

    data: bytes
    reader: PdfReader
    annotations: tuple[PageAnnotations, ...]


def has_printed_annotations(page: PageObject, hidden: frozenset[int]) -> bool:
    """Whether more is printed with a page than its contents."""
    return any(is_printed(one, hidden) and should_show(one) for one in annotations_of(page))


@lru_cache(maxsize=1)  # many pages of one file are opened one after the other
def with_annotations_drawn(data: bytes) -> PrintedPdf:
    """The PDF with its annotations that are printed as part of its pages, and without all others.

    Args:
        data: a PDF that can be read, not encrypted.
    """
    writer = _copy_of(data)
    counts = [count_annotations(page, hidden_layers(writer)) for page in writer.pages]
    if _lacks_looks(writer):
        odd = [_odd_letters(writer, page) for page in writer.pages]
        _show_choices_as_text(writer)
        _complete_form(writer)
        writer = _copy_of(_with_looks(_bytes_of(writer)))
        counts = [
            replace(count_annotations(page, hidden_layers(writer)), odd_letters=letters)
            for page, letters in zip(writer.pages, odd, strict=True)
        ]
    hidden = hidden_layers(writer)
    for page in writer.pages:
        _draw_in(writer, page, [one for one in annotations_of(page) if is_printed(one, hidden)])
    finished = _bytes_of(writer)
    return PrintedPdf(data=finished, reader=PdfReader(io.BytesIO(finished)), annotations=tuple(counts))


def _copy_of(data: bytes) -> PdfWriter:
    return PdfWriter(clone_from=PdfReader(io.BytesIO(data)))


def _bytes_of(writer: PdfWriter) -> bytes:
    finished = io.BytesIO()
    writer.write(finished)
    return finished.getvalue()


# -- looks that the file does not have ---------------------------------------------------------------------------------


def _lacks_looks(writer: PdfWriter) -> bool:
    """Whether the file asks for looks to be made, or something on its pages has none."""
    if _asks_for_looks(writer):
        return True
    hidden = hidden_layers(writer)
    every = (one for page in writer.pages for one in annotations_of(page))
    return any(is_printed(one, hidden) and is_drawn_nowhere(one) for one in every)


def _asks_for_looks(writer: PdfWriter) -> bool:
    asks = entry(entry(writer.root_object, "/AcroForm"), "/NeedAppearances")
    return isinstance(asks, BooleanObject) and bool(asks.value)


def _odd_letters(writer: PdfWriter, page: PageObject) -> str:
    """Letters on a page that the look that is made may not show."""
    hidden, asks = hidden_layers(writer), _asks_for_looks(writer)
    made = (one for one in annotations_of(page) if is_printed(one, hidden) and (asks or look_of(one) is None))
    return "".join(dict.fromkeys(letter for one in made for letter in odd_letters(one)))


def _show_choices_as_text(writer: PdfWriter) -> None:
    """Make fields of which one value is chosen text fields of that value: pdfium would draw their button too."""
    for page in writer.pages:
        for one in annotations_of(page):
            flags = inherited(one, "/Ff")
            if str(inherited(one, "/FT")) == "/Ch" and isinstance(flags, int) and flags & _COMBO:
                _make_text_field(one)


def _make_text_field(annotation: DictionaryObject) -> None:
    shown = _chosen(inherited(annotation, "/V"), inherited(annotation, "/Opt"))
    field: PdfObject | None = annotation
    while isinstance(field, DictionaryObject) and "/FT" not in field:
        field = entry(field, "/Parent")
    if isinstance(field, DictionaryObject):
        for key in ("/Opt", "/I", "/TI"):
            field.pop(NameObject(key), None)
        field[NameObject("/FT")] = NameObject("/Tx")
        field[NameObject("/Ff")] = NumberObject(0)
        field[NameObject("/V")] = TextStringObject(shown)


def _chosen(value: PdfObject | None, options: PdfObject | None) -> str:
    """The words of a choice: options may be pairs of what is exported and what is shown."""
    for one in options if isinstance(options, ArrayObject) else ():
        pair = one.get_object()
        if isinstance(pair, ArrayObject) and len(pair) > 1 and str(pair[0].get_object()) == str(value):
            return str(pair[1].get_object())
    return "" if value is None else str(value)


def _with_looks(data: bytes) -> bytes:
    """The file with a look for everything that pdfium can make one for."""
    with closing(pypdfium2.PdfDocument(data)) as document:
        document.init_forms()
        for number in range(len(document)):
            document[number].close()  # looks are made when a page is opened
        return saved_plain(document)


def _complete_form(writer: PdfWriter) -> None:
    """See that the file has a form with a typeface in it: without that pdfium makes no looks, not even of comments."""
    form = _dictionary_in(writer.root_object, "/AcroForm")
    if not isinstance(entry(form, "/Fields"), ArrayObject):
        form[NameObject("/Fields")] = ArrayObject()
    fonts = _dictionary_in(_dictionary_in(form, "/DR"), "/Font")
    if not fonts:
        said = {"/Type": "/Font", "/Subtype": "/Type1", "/BaseFont": "/Helvetica", "/Encoding": "/WinAnsiEncoding"}
        font = DictionaryObject({NameObject(key): NameObject(value) for key, value in said.items()})
        fonts[NameObject("/Helv")] = writer._add_object(font)


def _dictionary_in(owner: DictionaryObject, key: str) -> DictionaryObject:
    """The dictionary under a key, put there where there is none."""
    found = entry(owner, key)
    if not isinstance(found, DictionaryObject):
        found = DictionaryObject()
        owner[NameObject(key)] = found
    return found


# -- drawn into the page -----------------------------------------------------------------------------------------------


def _draw_in(writer: PdfWriter, page: PageObject, printed: Sequence[DictionaryObject]) -> None:
    """Draw annotations over a page's contents, which become a form so that nothing they leave behind moves them."""
    page.pop("/Annots", None)
    looks = [(one, look) for one in printed if (look := look_of(one)) is not None]
    if not looks:
        return
    things, layers = DictionaryObject(), DictionaryObject()
    things[NameObject("/Contents")] = writer._add_object(_contents_as_form(page))
    steps = [b"/Contents Do"]
    for number, (annotation, look) in enumerate(looks):
        place = _place(annotation, look, page.rotation)
        if place is None:
            continue
        name = f"/Printed{number}"
        _complete(look, writer, page)
        things[NameObject(name)] = look.indirect_reference or writer._add_object(look)
        drawn = b"%s cm %s Do" % (" ".join(f"{part:.6f}" for part in place).encode(), name.encode())
        if "/OC" in annotation:
            layers[NameObject(name)] = annotation.raw_get("/OC")
            drawn = b"/OC %s BDC %s EMC" % (name.encode(), drawn)
        steps.append(b"q %s Q" % drawn)
    contents = StreamObject()
    contents.set_data(b"\n".join(steps))
    page[NameObject("/Contents")] = writer._add_object(contents)
    resources = {NameObject("/XObject"): things, NameObject("/Properties"): layers}
    page[NameObject("/Resources")] = DictionaryObject(resources)


def _contents_as_form(page: PageObject) -> StreamObject:
    contents, form = page.get_contents(), StreamObject()
    form.set_data(b"" if contents is None else contents.get_data())
    form[NameObject("/Type")] = NameObject("/XObject")
    form[NameObject("/Subtype")] = NameObject("/Form")
    form[NameObject("/BBox")] = ArrayObject(page.mediabox)
    form[NameObject("/Resources")] = _raw_inherited(page, "/Resources")
    return form.flate_encode()


def _complete(look: StreamObject, writer: PdfWriter, page: PageObject) -> None:
    """Say in a look what readers do without: that it is a form, and whose typefaces it uses."""
    look[NameObject("/Type")] = NameObject("/XObject")
    look[NameObject("/Subtype")] = NameObject("/Form")
    if "/Resources" not in look:
        of_form = entry(entry(writer.root_object, "/AcroForm"), "/DR")
        look[NameObject("/Resources")] = of_form or _raw_inherited(page, "/Resources")


def _place(annotation: DictionaryObject, look: StreamObject, rotation: int) -> Floats | None:
    """The matrix that brings a look into the rectangle of its annotation; None where either has no area.

    Steps: the look's box is turned by its own matrix, the box around that is scaled and moved into the rectangle.
    """
    rect, box = _numbers(entry(annotation, "/Rect")), _numbers(entry(look, "/BBox"))
    if len(rect) != 4 or len(box) != 4:
        return None
    own = _numbers(entry(look, "/Matrix"))
    a, b, c, d, e, f = own if len(own) == 6 else IDENTITY
    corners = [applied((a, b, c, d, e, f), x, y) for x in box[::2] for y in box[1::2]]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    bottom, top = min(y for _, y in corners), max(y for _, y in corners)
    x0, x1, y0, y1 = *sorted(rect[::2]), *sorted(rect[1::2])
    if min(right - left, top - bottom, x1 - x0, y1 - y0) <= 0:
        return None
    across, upwards = (x1 - x0) / (right - left), (y1 - y0) / (top - bottom)
    place = (across, 0.0, 0.0, upwards, x0 - left * across, y0 - bottom * upwards)
    flags = entry(annotation, "/F")
    return _turned(place, rotation, (x0, y1)) if isinstance(flags, int) and flags & _NO_ROTATE else place


def _turned(place: Floats, degrees: int, about: tuple[float, float]) -> Floats:
    """A place turned counter-clockwise about a point: what does not turn with its page keeps its upper left corner."""
    cos, sin = round(math.cos(math.radians(degrees))), round(math.sin(math.radians(degrees)))
    a, b, c, d, e, f = place
    x, y = e - about[0], f - about[1]
    return (
        a * cos - b * sin,
        a * sin + b * cos,
        c * cos - d * sin,
        c * sin + d * cos,
        x * cos - y * sin + about[0],
        x * sin + y * cos + about[1],
    )


def _numbers(array: PdfObject | None) -> list[float]:
    plain = [value.get_object() for value in array] if isinstance(array, ArrayObject) else []
    return [float(value) for value in plain if isinstance(value, int | float)]


def _raw_inherited(page: PageObject, key: str) -> PdfObject:
    """What a page says, or the nearest node above it, as it is referred to; an empty dictionary for nothing."""
    node: PdfObject | None = page
    while isinstance(node, DictionaryObject):
        if key in node:
            found: PdfObject = node.raw_get(key)
            return found
        node = entry(node, "/Parent")
    return DictionaryObject()
