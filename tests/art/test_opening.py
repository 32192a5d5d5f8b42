"""Opening the art of many designs: once each, nothing large kept, the same thing said once."""

from hashlib import sha256

import pytest

from watcher.art import opening
from watcher.art.checks.preflight import ORDINARY
from watcher.art.opening import OF_ALL, open_order, say_once
from watcher.orders.model import ArtSource
from watcher.terms import Finding, Level, Side


@pytest.fixture
def sources(picture, saved):
    """So many designs as PNG files of their own, and what reads them; counts how often each is read."""
    read: list[str] = []
    data = saved(picture(525, 725))

    def make(numbers, sides=(Side.FRONT,)):
        made = [
            ArtSource(side=side, file=f"{number}_{side}.png", sha256=sha256(data).hexdigest(), design=number)
            for number in numbers
            for side in sides
        ]
        return made, lambda source: read.append(source.file) or data, read

    return make


def _open(made, common, card, read):
    return open_order(made, common, card, ORDINARY, read)


def test_each_design_has_its_own_faces_in_the_order_of_the_numbers(sources, card):
    made, read, _ = sources([3, 1, 2], (Side.BACK, Side.FRONT))
    opened = _open(made, [], card(), read)
    assert [(one.number, [face.art.file for face in one.faces]) for one in opened.designs] == [
        (number, [f"{number}_front.png", f"{number}_back.png"]) for number in (1, 2, 3)
    ]
    assert len(opened.used) == 6


def test_what_all_share_is_opened_once_and_lies_in_every_design(sources, card):
    made, read, times = sources([1, 2, 3])
    shared = ArtSource(side=Side.BACK, file="brand.png", sha256=made[0].sha256, design=OF_ALL)
    opened = _open(made, [shared], card(), read)
    backs = {id(design.faces[1].art.content) for design in opened.designs}
    assert (len(backs), times.count("brand.png")) == (1, 1)
    assert opened.used[-1][0] == shared


def test_of_many_designs_no_small_picture_is_kept(sources, card):
    """500 of up to 1600 x 1600 x 3 bytes are 3.8 GB, more than a worker may have."""
    made, read, _ = sources([1, 2])
    opened = _open(made, [], card(), read)
    assert all(face.art.thumbnail is None for design in opened.designs for face in design.faces)
    assert all(face.art.thumbnail is None for _, face in opened.used)


def test_both_sides_of_each_design_are_compared(sources, card):
    made, read, _ = sources([1, 2], (Side.FRONT, Side.BACK))
    said = [finding for finding in _open(made, [], card(), read).findings if finding.code == "back-is-front"]
    (finding,) = said
    assert finding.message.startswith("1_back.png looks just like 1_front.png")


def _said(name: str, what: str = "is 150 ppi", code: str = "low") -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    return (name,), (Finding(level=Level.WARN, code=code, message=f"{name} {what}.", side=Side.FRONT),)


def test_the_same_finding_is_said_once_with_the_names():
    (finding,) = say_once([_said("1.png"), _said("2.png"), _said("10.png")])
    assert finding.message == "1.png is 150 ppi. The same goes for 2.png, 10.png."


def test_many_names_are_counted():
    (finding,) = say_once([_said(f"{number}.png") for number in range(1, 21)])
    assert finding.message.endswith("The same goes for 2.png, 3.png, 4.png, 5.png, 6.png, 7.png and 13 more.")


def test_the_file_that_all_are_in_is_named_once():
    (finding,) = say_once([_said("1.png in a.zip"), _said("2.png in a.zip"), _said("3.png in b.zip")])
    assert finding.message == "1.png in a.zip is 150 ppi. The same goes for 2.png, 3.png in b.zip."
    (finding,) = say_once([_said("page 1 of a.pdf"), _said("page 2 of a.pdf")])
    assert finding.message == "page 1 of a.pdf is 150 ppi. The same goes for page 2."


def test_other_numbers_are_another_finding_up_to_ten_of_a_kind():
    said = say_once([_said(f"{number}.png", f"is {number} ppi") for number in range(1, 16)])
    assert [finding.message for finding in said[:2]] == ["1.png is 1 ppi.", "2.png is 2 ppi."]
    assert len(said) == 11
    assert said[10].message == "11.png is 11 ppi. Much the same goes for 12.png, 13.png, 14.png, 15.png."


def test_how_each_design_would_be_cut_is_told_of_every_one():
    """Whoever accepts them must have read all numbers."""
    names = [f"{number}.png" for number in range(1, 31)]
    found = [
        ((name,), (Finding(level=Level.HOLD, code="shape-mismatch", message=f"{name}: {at} mm are cut off."),))
        for at, name in enumerate(names)
    ]
    assert len(say_once(found)) == 30


def test_another_kind_of_finding_stays_apart():
    assert len(say_once([_said("1.png"), _said("2.png", code="edge")])) == 2


def test_what_is_said_of_no_file_is_said_once():
    alone = Finding(level=Level.NOTE, code="shared", message="The back is common.")
    assert say_once([(("1.png",), (alone,)), (("2.png",), (alone,))]) == (alone,)


def test_a_large_side_is_opened_before_the_next_one_is_read(sources, card, monkeypatch):
    """The pixels of both at once are more than a small computer has."""
    made, read, _ = sources([1], (Side.FRONT, Side.BACK))
    seen: list[str] = []
    monkeypatch.setattr(opening, "LARGE_PIXELS", 1)
    opens = opening.open_art
    monkeypatch.setattr(opening, "open_art", lambda *said: (opens(*said), seen.append("opened"))[0])
    opened = _open(made, [], card(), lambda source: (seen.append("read"), read(source))[1])
    assert seen == ["read", "opened", "read", "opened"]
    assert [face.art.side for face in opened.designs[0].faces] == [Side.FRONT, Side.BACK]
