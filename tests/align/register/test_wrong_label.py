"""A page that is not what is measured is refused by what its label says, and told what to do."""

from dataclasses import replace

import pytest

from watcher.align.register.label import VERSION, label_of
from watcher.align.register.label_in_scan import Unread
from watcher.align.register.wrong_label import label_fault, pair_fault
from watcher.layout.register.alignment import Correction
from watcher.terms import Side

IN_FORCE = Correction(turn_degrees=0.2)


@pytest.fixture
def small(target):
    return target("small")


@pytest.fixture
def fault(small):
    def of(label, known=(), correction=None):
        return label_fault("back.png", label, small, known, correction)

    return of


@pytest.mark.parametrize("correction", [None, IN_FORCE])
def test_the_target_and_the_proof_in_force_can_be_used(small, fault, correction):
    assert fault(label_of(small, Side.BACK, 5, correction), correction=IN_FORCE) is None


@pytest.mark.parametrize(
    ("unread", "words"), [(Unread.ABSENT, "has none of the dots"), (Unread.UNCLEAR, "cannot be read on back.png")]
)
def test_what_cannot_be_read_says_how_to_print_it_anew(fault, unread, words):
    said = fault(unread)
    assert words in said
    assert said.endswith("print-folder align laser --sheet small print")


def test_another_version_is_refused_before_anything_else_is_believed(small, target, fault):
    other = replace(label_of(target("a4"), Side.BACK, 5), version=VERSION + 1)
    assert "printed by another version" in fault(other, known=[target("a4")])


def test_another_target_is_named_only_where_the_settings_know_it(target, fault):
    label = label_of(target("a4"), Side.BACK, 5)
    assert "is the target of laser on a4, not of laser on small" in fault(label, known=[target("a4")])
    unknown = fault(label)
    assert "the settings do not have" in unknown
    assert "a4" not in unknown


def test_a_label_of_another_run_or_use_is_not_of_the_same_sheet(small):
    files, front = ("front.png", "back.png"), label_of(small, Side.FRONT, 5)
    other_run = pair_fault(files, (front, label_of(small, Side.BACK, 6)), "align")
    assert "front.png is of run 5, but back.png of run 6" in other_run
    other_use = pair_fault(files, (front, label_of(small, Side.BACK, 5, IN_FORCE)), "align")
    assert "front.png is of a target, but back.png of a proof" in other_use
    assert pair_fault(files, (front, label_of(small, Side.BACK, 5)), "align") is None
