"""Read a finished PDF again and compare it with the plan in numbers: the read-back check before anybody prints it.

It measures where each corner of each card comes to lie on the page, by other code than that which draws it. Comparing
rendered pixels with the art is another check (`by_sight.py`).
"""

import io
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from pypdf import PageObject, PdfReader
from pypdf.errors import PyPdfError
from pypdf.generic import BooleanObject, DictionaryObject, IndirectObject, StreamObject

from watcher.art.model import CardFace, Raster, VectorPage
from watcher.errors import PrintFolderError
from watcher.layout.geometry import Box, Size
from watcher.sheet.check.measure import Corners, corners_of, drawn_on, in_mm, numbers
from watcher.sheet.draw.plan import PlannedFile, SheetName, SheetPage, SheetPlan, face_at, planned_files
from watcher.sheet.draw.sheet_pdf import SheetFile
from watcher.sheet.frames import correcting
from watcher.terms import SIMPLEX, Copies, Duplex, PageOrder, Side, Turn

TOLERANCE_MM = 0.01  # our own choice, far below what a cutter can hold


class SheetWrong(PrintFolderError):
    """A finished sheet that differs from its plan and must not be printed."""

    def __init__(self, fault: str) -> None:
        super().__init__(f"The finished sheet is not as planned and was not delivered: {fault}.")
        self.fault = fault

    def __reduce__(self) -> tuple[type, tuple[str]]:
        return type(self), (self.fault,)


def read_back(files: Sequence[SheetFile], plan: SheetPlan) -> None:
    """Read the files again and compare them with the plan.

    Raises:
        SheetWrong: pages, boxes, printing hints, a card's place, turn or face, or an image stored more than once.
    """
    planned = planned_files(plan)
    if [(file.suffix, file.pages) for file in files] != [(file.suffix, file.pages) for file in planned]:
        raise SheetWrong("the files are not the ones that were planned")
    _check_order_of_backs(planned, plan)
    for file, wanted in zip(files, planned, strict=True):
        try:
            _check_file(file, wanted, plan)
        except (PyPdfError, KeyError, IndexError, TypeError, AttributeError, ValueError) as cause:
            raise SheetWrong(f"{file.suffix} cannot be read ({cause})") from cause


def _check_order_of_backs(planned: Sequence[PlannedFile], plan: SheetPlan) -> None:
    """Check that each file of backs has the sheets of its fronts, in the order in which the stack comes."""
    forms = {file.suffix: file.forms for file in planned}
    for suffix, backs in forms.items():
        if suffix.endswith(SheetName.BACKS):
            fronts = list(forms[suffix.removesuffix(SheetName.BACKS) + SheetName.FRONTS])
            if plan.backs_order is PageOrder.N_TO_ONE:
                fronts.reverse()
            if list(backs) != fronts:
                raise SheetWrong(f"{suffix} does not have the backs in the order in which the sheets come")


def _check_file(file: SheetFile, planned: PlannedFile, plan: SheetPlan) -> None:
    with PdfReader(_as_file(file.pdf), strict=True) as reader:  # which then lets go of all that it has read
        _check_read(reader, file, planned, plan)


def _check_read(reader: PdfReader, file: SheetFile, planned: PlannedFile, plan: SheetPlan) -> None:
    wanted = [
        SheetPage(form=form, side=side)
        for form in planned.forms
        for _ in range(plan.forms[form].sheets if plan.copies is Copies.PAGES else 1)
        for side in planned.sides
    ]
    if len(reader.pages) != len(wanted):
        raise SheetWrong(f"{file.suffix} has {len(reader.pages)} pages instead of {len(wanted)}")
    _check_hints(reader, file, plan)
    _check_stored_once(reader, file, plan)
    seen: set[tuple[int, SheetPage]] = set()
    for page, sheet_page in zip(reader.pages, wanted, strict=True):
        _check_boxes(page, plan.layout.sheet, sheet_page.side)
        parts = (_number_of(page, "/Contents"), sheet_page)
        if parts not in seen:  # repeated pages share their contents
            _check_cards(page, plan, sheet_page)
            seen.add(parts)


def _as_file(pdf: bytes) -> io.BufferedReader:
    """The bytes as a buffered reader; of a plain BytesIO the library would copy everything to learn its length."""
    return io.BufferedReader(io.BytesIO(pdf))


def _number_of(page: PageObject, key: str) -> int:
    reference = page.raw_get(key)
    if not isinstance(reference, IndirectObject):
        raise SheetWrong(f"a page keeps its {key} to itself")
    return reference.idnum


def _check_hints(reader: PdfReader, file: SheetFile, plan: SheetPlan) -> None:
    hints = reader.root_object["/ViewerPreferences"].get_object()
    automatic = len(file.sides) > 1 and plan.duplex is Duplex.AUTOMATIC
    flip = (plan.chosen_flip or plan.layout.flip) if automatic else None
    wanted = flip.duplex_name if flip else SIMPLEX
    if not isinstance(hints, DictionaryObject):
        raise SheetWrong(f"{file.suffix} says nothing of how it is printed")
    if (str(hints["/PrintScaling"]), str(hints["/Duplex"])) != ("/None", wanted):
        raise SheetWrong(f"{file.suffix} does not ask for actual size and {wanted[1:]}")
    if hints["/PickTrayByPDFSize"] != BooleanObject(True):
        raise SheetWrong(f"{file.suffix} does not ask for the paper of its own size")


def _check_stored_once(reader: PdfReader, file: SheetFile, plan: SheetPlan) -> None:
    contents = (face.art.content for face in _faces(plan, file.pages))
    wanted = Counter(stream.data for stream in {one.stream for one in contents if isinstance(one, Raster)})
    stored = Counter(_read_images(reader, list(wanted)))
    for data, times in wanted.items():
        if stored[data] != times:
            raise SheetWrong(f"an image is stored {stored[data]} times in {file.suffix} instead of once")


def _read_images(reader: PdfReader, known: Sequence[bytes]) -> Iterator[bytes]:
    """Read all objects of the file; gives the known image for each that is one of them, which is then kept once."""
    numbers = {(number, generation) for generation, found in reader.xref.items() for number in found}
    for number, generation in sorted(numbers):
        found = reader.get_object(IndirectObject(number, generation, reader))
        if isinstance(found, StreamObject):
            for data in known:
                if found._data == data:
                    found._data = data
                    yield data


def _faces(plan: SheetPlan, pages: Sequence[SheetPage]) -> list[CardFace]:
    lying = [face_at(plan, page, place) for place in plan.layout.places for page in pages]
    return list(dict.fromkeys(found[1] for found in lying if found is not None))


def _check_boxes(page: PageObject, sheet: Size, side: Side) -> None:
    """Check that every page box is there and is the paper, from its lower left corner."""
    for name in ("MediaBox", "CropBox", "BleedBox", "TrimBox"):
        if not _near(in_mm(numbers(page[f"/{name}"])), _box_of(sheet)):
            raise SheetWrong(f"the {name} of the {side.value} page is off")
    if page.rotation:
        raise SheetWrong(f"the {side.value} page is turned")


def _check_cards(page: PageObject, plan: SheetPlan, sheet_page: SheetPage) -> None:
    """Check that every place shows its face, with each corner where it belongs."""
    side = sheet_page.side
    cards = [drawn for drawn in drawn_on(page) if "/A" in drawn.inside]
    lying = [found for place in plan.layout.places if (found := face_at(plan, sheet_page, place)) is not None]
    if len(cards) != len(lying):
        raise SheetWrong(f"the {side.value} page has {len(cards)} cards instead of {len(lying)}")
    trim = _box_of(plan.layout.trim)
    shown: set[tuple[int, int]] = set()  # the same card's form lies at many places, and is looked into once
    for number, (drawn, (face, card)) in enumerate(zip(cards, lying, strict=True), start=1):
        wanted = _cornered(face.trim, face.turn)
        if side is Side.BACK and plan.correction is not None:
            corrected = correcting(plan.correction, plan.layout.sheet)
            wanted = [corrected.at(x, y) for x, y in wanted]
        name = f"card {number} on the {side.value} page"
        _check_corners(drawn.corners(trim), wanted, name)
        if (id(drawn.form), id(card)) not in shown:
            _check_art(drawn.form, card, name)
            shown.add((id(drawn.form), id(card)))


def _check_art(form: DictionaryObject, card: CardFace, name: str) -> None:
    """Check that the card's form shows the right art, all of it, at its fit and upright."""
    drawn = drawn_on(form)[-1]
    content = card.art.content
    if isinstance(content, Raster):
        if not isinstance(drawn.form, StreamObject) or drawn.form._data != content.stream.data:
            raise SheetWrong(f"{name} does not show {card.art.file}")
        corners = drawn.corners((0.0, 0.0, 1.0, 1.0))
        corners = [corners[index] for index in (1, 0, 3, 2)] if content.mirrored else corners
    else:
        if not _same_page(drawn.form, content):
            raise SheetWrong(f"{name} does not show {card.art.file}")
        corners = drawn.form_corners()
    _check_corners(corners, _cornered(card.fit.box, content.turn), name)


def _same_page(form: DictionaryObject, page: VectorPage) -> bool:
    return isinstance(form, StreamObject) and form.get_data() == _contents_of(page.pdf, page.page)


@lru_cache(maxsize=4)  # the same few pages lie at every place of a sheet
def _contents_of(pdf: bytes, page: int) -> bytes:
    source = _reader_of(pdf).pages[page].get_contents()
    return b"" if source is None else source.get_data()


@lru_cache(maxsize=1)
def _reader_of(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


def _check_corners(found: Corners, wanted: Corners, name: str) -> None:
    """Compare corners: lower left, lower right, upper right, upper left of the thing itself as it is read."""
    if not all(_near(one, other) for one, other in zip(found, wanted, strict=True)):
        raise SheetWrong(f"{name} does not lie where it should, or not the right way up")
    area = sum(one[0] * other[1] - other[0] * one[1] for one, other in pairwise([*found, found[0]]))
    if area <= 0:
        raise SheetWrong(f"{name} is mirrored")


def _cornered(box: Box, turn: Turn) -> Corners:
    """The corners of a thing that fills `box` turned by `turn`, starting with its own lower left."""
    around = corners_of((float(box.left), float(box.bottom), float(box.right), float(box.top)))
    first = turn // 90
    return around[first:] + around[:first]


def _box_of(size: Size) -> tuple[float, float, float, float]:
    return 0.0, 0.0, float(size.width), float(size.height)


def _near(found: Sequence[float], wanted: Sequence[float]) -> bool:
    return all(abs(one - other) <= TOLERANCE_MM for one, other in zip(found, wanted, strict=True))
