"""The sheet's edges on a scan, against the outline that was given to the model (conftest)."""

import numpy as np
import pytest

from watcher.align.register.outline import corners, find_edges
from watcher.align.register.page_in_scan import RingsInScan, find_page
from watcher.align.register.scan_file import Scan
from watcher.terms import Edge

NAMES = [(Edge.BOTTOM, Edge.LEFT), (Edge.BOTTOM, Edge.RIGHT), (Edge.TOP, Edge.RIGHT), (Edge.TOP, Edge.LEFT)]


def true_corners(printed):
    """The corners of the paper in the axes of its front page, mm."""
    return (np.linalg.inv(printed.on_paper("front")) @ np.column_stack((printed.outline, np.ones(4))).T)[:2].T


def page_of(printed, placing, **how):
    scan = Scan(file="front.png", grey=np.asarray(printed.scan("front", placing(ppi=200.0, **how))), ppi=200.0)
    return find_page(RingsInScan(scan), printed.target)


@pytest.mark.parametrize(
    "how", [{"turn": 1.0}, {"turn": 91.0, "ground": 120.0}, {"turn": -2.0, "ground": 235.0, "shadow": 0.4}]
)
def test_corners_are_found_whatever_lies_behind(print_target, placing, how):
    printed = print_target("small", 90)
    page = page_of(printed, placing, **how)
    found = corners(find_edges(page, printed.target))
    for name, true in zip(NAMES, true_corners(printed), strict=True):
        assert found[name] == pytest.approx(true, abs=0.04)


def test_an_edge_beyond_the_scan_is_not_named(print_target, placing):
    printed = print_target("small", 91)
    page = page_of(printed, placing)
    cut = Scan(file="front.png", grey=page.scan.grey[:, 85:], ppi=200.0)
    assert set(find_edges(find_page(RingsInScan(cut), printed.target), printed.target)) == set(Edge) - {Edge.LEFT}
