"""Build a PDF page with annotations on it."""

import io

import pikepdf
from pikepdf import Array, Dictionary, Name, String

WIDTH, HEIGHT = 187.09, 255.12
RECT = (40, 100, 120, 140)
PRINT, HIDDEN, INVISIBLE, NO_VIEW = 4, 2, 1, 32


class Page:
    """A page of 66 x 90 mm, pale blue, to put annotations on."""

    def __init__(self, contents: bytes = b"0.9 0.9 1 rg -999 -999 9999 9999 re f", *, form: bool = True) -> None:
        self.file = pikepdf.new()
        self.page = self.file.add_blank_page(page_size=(WIDTH, HEIGHT))
        self.page.Contents = self.file.make_stream(contents)
        self.page.Annots = Array([])
        if form:
            helv = Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)
            fonts = Dictionary(Font=Dictionary(Helv=helv))
            self.file.Root.AcroForm = Dictionary(Fields=Array([]), DR=fonts, DA=String("/Helv 12 Tf 0 g"))

    def add(self, kind: str, flags: int = PRINT, **said: object) -> Dictionary:
        said = {"Subtype": Name(f"/{kind}"), "Rect": list(RECT), "F": flags} | said
        annotation = self.file.make_indirect(Dictionary(Type=Name.Annot, **said))
        self.page.Annots.append(annotation)
        return annotation

    def field(self, value: str, flags: int = PRINT, kind: str = "Tx", **said: object) -> Dictionary:
        look = {"FT": Name(f"/{kind}"), "T": String("name"), "V": String(value), "DA": String("/Helv 18 Tf 0 g")}
        field = self.add("Widget", flags, **look, **said)
        self.file.Root.AcroForm.Fields.append(field)
        return field

    def look(self, contents: bytes = b"1 0 0 rg 0 0 40 40 re f", **said: object) -> Dictionary:
        stream = self.file.make_stream(contents, Type=Name.XObject, Subtype=Name.Form, BBox=[0, 0, 40, 40], **said)
        return Dictionary(N=stream)

    def saved(self) -> bytes:
        finished = io.BytesIO()
        self.file.save(finished, deterministic_id=True)
        return finished.getvalue()
