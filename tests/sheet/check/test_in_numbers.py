"""The check must find each fault by itself: sheets are spoilt by pikepdf and must then be refused."""

import io
import pickle
from dataclasses import replace
from fractions import Fraction

import pikepdf
import pytest

from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import Correction
from watcher.sheet.check.in_numbers import SheetWrong, read_back
from watcher.sheet.draw.boxes import page_boxes
from watcher.sheet.draw.plan import SheetName
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Copies, Duplex, Side

A4 = Size(Fraction(210), Fraction(297))
CARD = Size(Fraction(85), Fraction(55))


@pytest.fixture
def plan(laid_out, planned, face_of, colours):
    layout = laid_out(A4, CARD)
    front = face_of(colours(85, 55), CARD, bleed=Fraction(3))
    back = face_of(colours(85, 55, 1), CARD, bleed=Fraction(3), side=Side.BACK)
    return planned(layout, front, back, marks=True)


def spoilt(files, change):
    """The same files after `change(document)`."""
    with pikepdf.open(io.BytesIO(files[0].pdf)) as document:
        change(document)
        finished = io.BytesIO()
        document.save(finished)
    return (replace(files[0], pdf=finished.getvalue()), *files[1:])


def rewritten(page_number, old, new):
    """Replaces one piece of a page's contents."""

    def change(document):
        page = document.pages[page_number]
        contents = page.obj["/Contents"].read_bytes()
        assert old(contents) in contents
        page.Contents = document.make_stream(contents.replace(old(contents), new(contents), 1))

    return change


def first_matrix(contents: bytes) -> bytes:
    return contents.split(b" W n ")[1].split(b" cm")[0]


def changed_matrix(change):
    def new(contents):
        numbers = change([float(number) for number in first_matrix(contents).split()])
        return " ".join(f"{number:.6f}" for number in numbers).encode()

    return new


def test_sheets_as_planned_pass(plan):
    read_back(draw_sheets(plan), plan)


@pytest.mark.parametrize("shift_mm", [0.02, -0.5])
@pytest.mark.parametrize("page", [0, 1])
def test_a_card_out_of_place_is_found(plan, page, shift_mm):
    def moved(m):
        return [*m[:4], m[4] + shift_mm / 25.4 * 72, m[5]]

    files = spoilt(draw_sheets(plan), rewritten(page, first_matrix, changed_matrix(moved)))
    with pytest.raises(SheetWrong, match="card 1 on the (front|back) page does not lie where it should"):
        read_back(files, plan)


def test_less_than_a_hundredth_of_a_millimetre_passes(plan):
    def moved(m):
        return [*m[:4], m[4] + 0.005 / 25.4 * 72, m[5]]

    read_back(spoilt(draw_sheets(plan), rewritten(0, first_matrix, changed_matrix(moved))), plan)


@pytest.mark.parametrize(
    "turn_over",
    [
        lambda m: [-m[0], -m[1], -m[2], -m[3], m[4] + m[0] * 241 + m[2] * 156, m[5] + m[1] * 241 + m[3] * 156],
        lambda m: [-m[0], -m[1], m[2], m[3], m[4] + m[0] * 240.945, m[5] + m[1] * 240.945],
    ],
    ids=["on its head", "mirrored"],
)
def test_a_card_on_its_head_or_mirrored_is_found(plan, turn_over):
    files = spoilt(draw_sheets(plan), rewritten(0, first_matrix, changed_matrix(turn_over)))
    with pytest.raises(SheetWrong, match="card 1 on the front page"):
        read_back(files, plan)


def test_a_missing_card_is_found(plan):
    files = spoilt(draw_sheets(plan), rewritten(1, lambda contents: b"/Card1 Do", lambda contents: b""))
    with pytest.raises(SheetWrong, match="cards instead of"):
        read_back(files, plan)


def test_front_art_on_the_back_is_found(plan):
    def change(document):
        document.pages[1].Resources.XObject.Kept = document.pages[1].Resources.XObject.Card1
        document.pages[1].Resources.XObject.Card1 = document.pages[0].Resources.XObject.Card1

    with pytest.raises(SheetWrong, match=r"card 1 on the back page does not show back\.png"):
        read_back(spoilt(draw_sheets(plan), change), plan)


def test_art_moved_within_its_card_is_found(plan):
    def change(document):
        form = document.pages[0].Resources.XObject.Card1
        form.write(b"q 1 0 0 1 0.1 0 cm " + form.read_bytes() + b" Q")

    with pytest.raises(SheetWrong, match="card 1 on the front page does not lie"):
        read_back(spoilt(draw_sheets(plan), change), plan)


@pytest.mark.parametrize("name", ["MediaBox", "CropBox", "BleedBox", "TrimBox"])
def test_a_box_that_is_off_is_found(plan, name):
    def change(document):
        box = [float(value) for value in document.pages[1].obj[f"/{name}"]]
        document.pages[1].obj[f"/{name}"] = [box[0] + 0.05, *box[1:]]

    with pytest.raises(SheetWrong, match=f"the {name} of the back page"):
        read_back(spoilt(draw_sheets(plan), change), plan)


@pytest.mark.parametrize("name", ["CropBox", "BleedBox", "TrimBox"])
def test_a_box_that_is_not_the_paper_is_found(plan, name):
    """The outline of the cards as TrimBox would move them on the paper."""

    def change(document):
        left, bottom, right, top = (float(value) for value in document.pages[0].obj.MediaBox)
        document.pages[0].obj[f"/{name}"] = [left + 20, bottom + 40, right - 20, top - 20]

    with pytest.raises(SheetWrong, match=f"the {name} of the front page"):
        read_back(spoilt(draw_sheets(plan), change), plan)


def test_boxes_that_are_all_off_alike_are_found(plan, monkeypatch):
    """What is read back is compared with the paper itself, not with what drew the boxes."""
    half = page_boxes(Size(plan.layout.sheet.width / 2, plan.layout.sheet.height))
    monkeypatch.setattr("watcher.sheet.draw.pdf_file.page_boxes", lambda sheet: half)
    with pytest.raises(SheetWrong, match="the MediaBox of the front page"):
        read_back(draw_sheets(plan), plan)


def test_a_turned_page_is_found(plan):
    def change(document):
        document.pages[0].Rotate = 90

    with pytest.raises(SheetWrong, match="is turned"):
        read_back(spoilt(draw_sheets(plan), change), plan)


def test_a_missing_page_is_found(plan):
    def change(document):
        del document.pages[1]

    with pytest.raises(SheetWrong, match="has 1 pages instead of 2"):
        read_back(spoilt(draw_sheets(plan), change), plan)


def test_an_image_stored_twice_is_found(plan):
    def change(document):
        image = document.pages[0].Resources.XObject.Card1.Resources.XObject.A
        document.Root.Extra = _copy(document, image)

    with pytest.raises(SheetWrong, match="stored 2 times"):
        read_back(spoilt(draw_sheets(plan), change), plan)


def _copy(document, image):
    twin = pikepdf.Stream(document, image.read_raw_bytes())
    twin.stream_dict = pikepdf.Dictionary({key: value for key, value in image.items() if key != "/Length"})
    return twin


def test_a_wrong_duplex_hint_is_found(plan):
    def change(document):
        document.Root.ViewerPreferences.Duplex = pikepdf.Name.Simplex

    with pytest.raises(SheetWrong, match="DuplexFlipLongEdge"):
        read_back(spoilt(draw_sheets(plan), change), plan)


@pytest.mark.parametrize("value", [False, None])
def test_a_file_that_does_not_ask_for_its_own_paper_is_found(plan, value):
    def change(document):
        del document.Root.ViewerPreferences.PickTrayByPDFSize
        if value is not None:
            document.Root.ViewerPreferences.PickTrayByPDFSize = value

    with pytest.raises(SheetWrong):
        read_back(spoilt(draw_sheets(plan), change), plan)


def test_a_file_that_cannot_be_read_is_found(plan):
    (file,) = draw_sheets(plan)
    with pytest.raises(SheetWrong):
        read_back([replace(file, pdf=file.pdf[: len(file.pdf) // 2])], plan)


def test_the_wrong_files_are_found(plan):
    (file,) = draw_sheets(plan)
    with pytest.raises(SheetWrong, match="not the ones"):
        read_back([replace(file, suffix=SheetName.FRONTS)], plan)


def test_a_corrected_back_is_expected_where_the_correction_brings_it(plan):
    correction = Correction(
        shift=Point(Fraction("0.8"), Fraction("-0.5")), turn_degrees=0.1, scale_x=1.001, scale_y=0.9985
    )
    corrected = replace(plan, correction=correction)
    files = draw_sheets(corrected)
    read_back(files, corrected)
    with pytest.raises(SheetWrong, match="on the back page"):
        read_back(files, plan)


@pytest.mark.parametrize("copies", list(Copies))
@pytest.mark.parametrize("duplex", list(Duplex))
def test_repeated_pages_and_two_files_pass_too(plan, copies, duplex):
    other = replace(plan, copies=copies, duplex=duplex, forms=(replace(plan.forms[0], sheets=3),))
    read_back(draw_sheets(other), other)


def test_the_error_survives_the_way_between_processes():
    error = pickle.loads(pickle.dumps(SheetWrong("the front page is turned")))
    assert (error.fault, str(error)) == ("the front page is turned", str(SheetWrong("the front page is turned")))
