"""The blur of a scan, measured at rings (model: conftest)."""

import numpy as np
import pytest

from tests.long_form import in_long_form
from watcher.align.register.blur import measure_blur, step_response
from watcher.align.register.page_in_scan import RingsInScan, find_page
from watcher.align.register.scan_file import Scan, ScanRefused
from watcher.align.register.scans import read_scans

MM_PER_INCH = 25.4


@pytest.mark.parametrize(("ppi", "blur_px"), [(150.0, 1.4), (200.0, 1.0), *in_long_form((150.0, 0.6), (300.0, 1.0))])
def test_is_found_at_the_rings(print_target, placing, ppi, blur_px):
    """Reading between pixels adds about 0.4 pixel to the scanner's own."""
    printed = print_target("small", 70)
    grey = np.asarray(printed.scan("front", placing(ppi=ppi, blur=blur_px)))
    page = find_page(RingsInScan(Scan(file="front.png", grey=grey, ppi=ppi)), printed.target)
    whole = np.hypot(blur_px, 0.5) / ppi * MM_PER_INCH
    assert measure_blur(page) == pytest.approx(whole, rel=0.12)


def test_a_scan_that_is_too_blurred_is_refused(print_target, placing):
    printed = print_target("small", 71)
    scans = printed.scans(placing(ppi=150.0, blur=2.4), placing(ppi=150.0, blur=0.8))
    with pytest.raises(ScanRefused, match=r"front\.png is too blurred.*at 300 ppi"):
        read_scans(*scans, printed.target)


def test_a_step_is_half_way_at_its_place():
    low, half, high = step_response(np.array([-5.0, 0.0, 5.0]))
    assert (low, half, high) == pytest.approx((0, 0.5, 1), abs=1e-5)
