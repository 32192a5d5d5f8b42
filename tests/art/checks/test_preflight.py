from fractions import Fraction

import pytest

from tests.ready import prepare_faces
from watcher.art.checks import preflight
from watcher.art.fit import fit_art
from watcher.art.model import CardFace
from watcher.art.prepare import prepare_face
from watcher.terms import Finding, Level, Side


@pytest.fixture
def face(art_of):
    def make(width, height, card, **more) -> CardFace:
        art = art_of(width, height, **more)
        return CardFace(art=art, fit=fit_art(art, card)[0])

    return make


@pytest.mark.parametrize(
    ("ppi", "level"),
    [(300, None), (225, None), (224, Level.WARN), (150, Level.WARN), (149, Level.HOLD), (30, Level.HOLD)],
)
def test_resolution_against_the_two_limits(face, card, ppi, level):
    """225 and 150 ppi are the defaults; the Ghent Workgroup warns and stops at the same (from memory)."""
    findings = preflight.check_face(face(5 * ppi, 7 * ppi, card(bleed="0 mm")), card(bleed="0 mm"))
    assert [finding.level for finding in findings] == ([level] if level else [])


def test_low_resolution_is_said_with_both_numbers_and_the_pixels_needed(face, card):
    """By hand: 555 px over 94 mm are 149.97 ppi, never rounded up."""
    small = card(trim="63 x 88 mm", bleed="3 mm", hold_ppi=250, warn_ppi=300)
    (finding,) = preflight.check_face(face(408, 555, small, shown="A17_back.png", side=Side.BACK), small)
    assert finding.message == (
        "A17_back.png is 408 x 555 px, 149 ppi at 69 x 94 mm with bleed; 250 ppi is needed. "
        "Export it at 815 x 1111 px (300 ppi)."
    )
    assert (finding.code, finding.level, finding.side) == ("low-resolution", Level.HOLD, Side.BACK)


def test_a_pdf_page_has_no_resolution(face, card):
    assert preflight.check_face(face(127, Fraction("177.8"), card(), mm=True), card()) == ()


def test_a_front_with_bleed_and_a_back_without_are_said(face, card):
    front = face(1575, 2175, card(), shown="a_front.png")
    back = face(1500, 2100, card(), shown="a_back.png", side=Side.BACK)
    findings = preflight.check_pair([front, back], card())
    assert [(finding.code, finding.level) for finding in findings] == [("sides-differ", Level.WARN)]
    for words in ("a_front.png", "1575 x 2175 px", "a_back.png", "1500 x 2100 px"):
        assert words in findings[0].message


def test_two_sides_of_two_resolutions_are_noted_with_both(face, card):
    faces = [face(1575, 2175, card()), face(3150, 4350, card(), side=Side.BACK)]
    (finding,) = preflight.check_pair(faces, card())
    assert (finding.code, finding.level) == ("sides-differ-in-size", Level.NOTE)
    assert "300 and 600 ppi" in finding.message


def test_two_sides_of_nearly_one_resolution_are_fine(face, card):
    assert preflight.check_pair([face(1575, 2175, card()), face(1890, 2610, card(), side=Side.BACK)], card()) == ()


def test_a_check_is_added_by_naming_it(face, card, monkeypatch):
    def too_red(face, card, printer):
        yield Finding(level=Level.WARN, code="too-red", message=face.art.file)

    monkeypatch.setattr(preflight, "FACE_CHECKS", [*preflight.FACE_CHECKS, too_red])
    assert [finding.code for finding in preflight.check_face(face(1575, 2175, card()), card())] == ["too-red"]


def test_preparing_a_face_tells_all_of_it(art_of, card):
    _, findings = prepare_face(art_of(500, 700), card())
    assert [finding.code for finding in findings] == ["bleed-made", "low-resolution"]


def test_preparing_both_faces_adds_what_concerns_both(art_of, card):
    faces, findings = prepare_faces([art_of(1575, 2175), art_of(1500, 2100, side=Side.BACK)], card())
    assert [face.art.side for face in faces] == [Side.FRONT, Side.BACK]
    assert [finding.code for finding in findings] == ["bleed-made", "sides-differ"]


@pytest.mark.parametrize("side", list(Side))
def test_nothing_is_said_of_a_side_beside_none(face, card, side):
    assert preflight.check_pair([face(1575, 2175, card(), side=side)], card()) == ()
