"""Pages that say where their trim and bleed are: an export "with crop marks and bleed"."""

from fractions import Fraction

import pytest

from watcher.art.fit import fit_art
from watcher.art.pdf.boxes import upright_trim
from watcher.art.prepare import prepare_face
from watcher.layout.geometry import Box
from watcher.terms import Level, Turn

MM = Fraction(72) / Fraction("25.4")
A6 = {"trim": "ISO A6", "bleed": "3 mm"}


def points(*mm) -> list[float]:
    return [float(Fraction(str(value)) * MM) for value in mm]


@pytest.fixture
def marked(pdf_of, opened):
    """A page of 135 x 178 mm with a trim of 105 x 148 mm in its middle, or what is said otherwise; mm."""

    def make(trim=(15, 15, 120, 163), bleed=(12, 12, 123, 166), size=(135, 178), **more):
        entries = {"TrimBox": trim and points(*trim), "BleedBox": bleed and points(*bleed)} | more
        width, height = points(*size)
        return opened(pdf_of(width, height, **{key: value for key, value in entries.items() if value}), "pdf")

    return make


def near(box, *sides) -> bool:
    found = (box.left, box.bottom, box.right, box.top)
    return all(abs(one - Fraction(str(other))) < Fraction(1, 1000) for one, other in zip(found, sides, strict=True))


def test_the_bleed_box_is_what_is_drawn_and_the_trim_lies_in_it(marked):
    art = marked()
    assert near(Box.at(Fraction(0), Fraction(0), art.extent), 0, 0, 111, 154)
    assert near(upright_trim(art.content), 3, 3, 108, 151)


@pytest.mark.parametrize(("inset", "is_said"), [("0.04", False), ("0.5", True)])
def test_a_trim_a_hair_inside_of_what_is_seen_is_no_news_and_one_further_in_is(marked, inset, is_said):
    """Writers round points to hundredths and tenths; 0.04 mm are 0.11 points, 0.5 mm are 1.4 (our own choice)."""
    near, far = Fraction(12) + Fraction(inset), Fraction(inset)
    art = marked(trim=(near, near, 123 - far, 166 - far))
    assert (upright_trim(art.content) is not None) is is_said


def test_trim_lies_on_trim_unscaled(marked, card):
    fit, findings = fit_art(marked(), card(**A6))
    assert near(fit.box, -3, -3, 108, 151)
    assert [(finding.code, finding.level) for finding in findings] == [("placed-by-trim", Level.NOTE)]
    assert "105 x 148 mm" in findings[0].message


def test_more_bleed_than_is_wanted_stays_at_its_scale(marked, card):
    fit, _ = fit_art(marked(bleed=(5, 5, 130, 173)), card(**A6))
    assert near(fit.box, -10, -10, 115, 158)


def test_less_bleed_is_made_up(marked, card):
    """2 mm in the file: beyond them crop marks may lie, which must not be printed."""
    fit, findings = fit_art(marked(bleed=(13, 13, 122, 165)), card(**A6))
    assert near(fit.box, -2, -2, 107, 150)
    assert [finding.code for finding in findings] == ["placed-by-trim", "bleed-made"]


def test_a_bleed_box_on_the_trim_means_that_there_is_none(marked, card):
    fit, findings = fit_art(marked(bleed=(15, 15, 120, 163)), card(**A6))
    assert near(fit.box, 0, 0, 105, 148)
    assert findings[-1].code == "bleed-made"


def test_without_a_bleed_box_all_that_is_seen_may_be_bleed(marked, card):
    fit, _ = fit_art(marked(bleed=None), card(**A6))
    assert near(fit.box, -15, -15, 120, 163)


def test_a_trim_that_is_off_the_middle_is_placed_right(marked, card):
    fit, _ = fit_art(marked(trim=(12, 18, 117, 166), bleed=(9, 15, 120, 169)), card(**A6))
    assert near(fit.box, -3, -3, 108, 151)


@pytest.mark.parametrize(("rotate", "turn"), [(90, Turn.RIGHT), (180, Turn.HALF), (270, Turn.LEFT)])
def test_boxes_turn_with_the_page(marked, card, rotate, turn):
    """The trim at (12, 18) of a page stored on its side or its head, and its place after /Rotate (Table 30)."""
    sides = {90: (12, 15, 160, 120), 180: (18, 12, 123, 160), 270: (15, 18, 163, 123)}[rotate]
    size = (178, 135) if rotate != 180 else (135, 178)
    art = marked(trim=sides, bleed=None, size=size, Rotate=rotate)
    assert art.content.turn is turn
    seen = {90: (15, 18, 120, 166), 180: (12, 18, 117, 166), 270: (12, 15, 117, 163)}[rotate]
    assert near(upright_trim(art.content), *seen)
    assert near(fit_art(art, card(**A6))[0].box, -seen[0], -seen[1], 135 - seen[0], 178 - seen[1])


def test_the_user_unit_counts_for_boxes(marked, card):
    """A page stored at half its size with a unit of 2/72 in."""
    half = marked(trim=(7.5, 7.5, 60, 81.5), bleed=(6, 6, 61.5, 83), size=(67.5, 89), UserUnit=2)
    assert near(fit_art(half, card(**A6))[0].box, -3, -3, 108, 151)


@pytest.mark.parametrize("off", [0.49, -0.49, 0.7])
def test_a_trim_within_half_a_millimetre_or_half_a_per_cent_is_right(marked, card, off):
    """0.7 mm are less than 0.5 % of 148 mm and more than that of 105 mm."""
    trim = (15, 15, 120 + (off if abs(off) < 0.5 else 0), 163 + off)
    fit, findings = fit_art(marked(trim=trim), card(**A6))
    assert findings[0].code == "placed-by-trim"
    assert fit.box.width == pytest.approx(111, abs=0.001)


@pytest.mark.parametrize("trim", [(15, 15, 120, 165), (15, 15, 115, 158), (15, 15, 100, 70)])
def test_another_trim_is_held_with_both_sizes(marked, card, trim):
    _, findings = fit_art(marked(trim=trim, bleed=None), card(**A6))
    assert (findings[0].code, findings[0].level) == ("trim-mismatch", Level.HOLD)
    for words in ("105 x 148 mm", f"its trim is {trim[2] - 15} x {trim[3] - 15} mm"):
        assert words in findings[0].message


def test_a_trim_turned_by_a_quarter_is_a_mismatch(marked, card):
    _, findings = fit_art(marked(trim=(15, 15, 163, 120), bleed=None, size=(178, 135)), card(**A6))
    assert findings[0].level is Level.HOLD
    assert "lying on its side: its trim is 148 x 105 mm" in findings[0].message


def test_cropped_or_padded_it_is_its_trim_that_counts(marked, card):
    """A trim of 100 x 100 mm on an A6 card: nothing of the crop marks around it is shown."""
    art = marked(trim=(15, 15, 115, 115), bleed=None)
    padded, findings = prepare_face(art, card(shape_mismatch="pad", **A6))
    assert near(padded.fit.box, 0, 21.5, 105, 126.5)
    assert findings[0].code == "shape-padded"
    cropped, findings = prepare_face(art, card(shape_mismatch="crop", **A6))
    assert near(cropped.fit.box, -24.5, -3, 129.5, 151) or near(cropped.fit.box, -21.5, 0, 126.5, 148)
    assert findings[0].code == "shape-cropped"
    assert padded.art.thumbnail.picture.shape[0] == pytest.approx(padded.art.thumbnail.picture.shape[1], abs=1)


def test_a_trim_box_that_is_all_of_the_page_says_nothing(marked, card):
    art = marked(trim=(0, 0, 111, 154), bleed=(0, 0, 111, 154), size=(111, 154))
    assert art.content.trim is None
    assert fit_art(art, card(**A6))[1] == ()


def test_bleed_beyond_the_crop_box_is_used(marked, card):
    """Some writers crop the page to its trim, so that viewers show the finished card."""
    art = marked(CropBox=points(15, 15, 120, 163))
    assert near(Box.at(Fraction(0), Fraction(0), art.extent), 0, 0, 111, 154)
    fit, findings = fit_art(art, card(**A6))
    assert near(fit.box, -3, -3, 108, 151)
    assert [finding.code for finding in findings] == ["placed-by-trim"]


def test_a_bleed_box_alone_is_what_is_seen(marked, card):
    fit, findings = fit_art(marked(trim=None), card(**A6))
    assert near(fit.box, -3, -3, 108, 151)
    assert findings == ()


@pytest.mark.parametrize(
    "boxes",
    [
        {"trim": (200, 200, 300, 300), "bleed": None},  # beside the page
        {"trim": (20, 20, 20, 100), "bleed": None},  # without area
        {"trim": None, "bleed": (300, 300, 310, 310)},
    ],
)
def test_boxes_that_make_no_sense_are_passed_over(marked, boxes):
    art = marked(**boxes)
    assert art.content.trim is None
    assert near(Box.at(Fraction(0), Fraction(0), art.extent), 0, 0, 135, 178)


def test_a_bleed_box_within_the_trim_is_passed_over(marked, card):
    fit, _ = fit_art(marked(bleed=(20, 20, 100, 140)), card(**A6))
    assert near(fit.box, -15, -15, 120, 163)
