"""Sheets that say what they are: only the right one is measured, and a proof is never kept (model: conftest)."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import numpy as np
import pytest

from tests.long_form import in_long_form
from watcher.align.register import target_sheet
from watcher.align.register.dot_grid import grid_middles
from watcher.align.register.label import Use, label_of
from watcher.align.register.label_in_scan import Unread, read_label
from watcher.align.register.page_in_scan import RingsInScan, find_page
from watcher.align.register.scan_file import Scan, ScanRefused
from watcher.align.register.scans import read_scans
from watcher.align.register.target import place_target
from watcher.layout.geometry import Point
from watcher.layout.register.alignment import Correction
from watcher.settings.load import load_settings
from watcher.terms import Flip, Side

PPI = 150.0
SIZE = np.array([114.3, 165.1])
SQUARE = [(0, 0), (114.3, 0), (114.3, 165.1), (0, 165.1)]


def label_on(scan: Scan, target: Any) -> Any:
    page = find_page(RingsInScan(scan), target)
    assert page is not None
    return read_label(page, target)


@pytest.fixture
def scans(print_target: Callable, placing: Any, kept_scans: dict[str, Any]) -> Callable[..., tuple[Any, Scan, Scan]]:
    """A small target and its two scans at 150 ppi."""

    def made(seed: int = 40, ppi: float = PPI, turn: float = 0.7, **given: Any) -> tuple[Any, Scan, Scan]:
        key = repr((seed, ppi, turn, given))
        if key not in kept_scans:
            printed = print_target("small", seed, **given)
            pair = printed.scans(placing(ppi=ppi, turn=turn), placing(ppi=ppi, turn=turn + 1), seed)
            kept_scans[key] = (printed, *pair)
        return kept_scans[key]

    return made


class TestDots:
    @pytest.mark.parametrize("turn", [90.8, *in_long_form(0.5, 181, 269)])
    def test_are_read_however_the_sheet_lies(self, scans: Callable, turn: float) -> None:
        printed, *both = scans(turn=turn, run=99)
        for scan, side in zip(both, Side, strict=True):
            assert label_on(scan, printed.target) == label_of(printed.target, side, 99)

    @pytest.mark.parametrize(("ppi", "ink"), [(200.0, 0.25), *in_long_form((600.0, 0.25), (300.0, 0.15))])
    def test_are_read_at_any_usual_resolution_and_with_faint_toner(
        self, scans: Callable, ppi: float, ink: float
    ) -> None:
        printed, _, back = scans(ppi=ppi, run=131_071, ink=ink)
        assert label_on(back, printed.target) == label_of(printed.target, Side.BACK, 131_071)

    def test_are_there_twice(self, scans: Callable) -> None:
        """With the upper grid covered the lower one tells; with both covered nothing is believed."""
        printed, front, _ = scans()
        page = find_page(RingsInScan(front), printed.target)
        covered = front.grey.copy()
        for middle, expected in zip(
            grid_middles(printed.target, Side.FRONT),
            (label_of(printed.target, Side.FRONT, 0), Unread.ABSENT),
            strict=True,
        ):
            x, y = page.in_pixels(np.array([[float(middle.x), float(middle.y)]]))[0].astype(int)
            covered[len(covered) - y - 25 : len(covered) - y + 25, x - 100 : x + 100] = 240
            assert label_on(replace(front, grey=covered), printed.target) == expected

    def test_half_covered_are_no_label(self, scans: Callable) -> None:
        printed, front, _ = scans()
        page = find_page(RingsInScan(front), printed.target)
        stained = front.grey.copy()
        for middle in grid_middles(printed.target, Side.FRONT):
            x, y = page.in_pixels(np.array([[float(middle.x), float(middle.y)]]))[0].astype(int)
            stained[len(stained) - y - 25 : len(stained) - y + 25, x - 20 : x + 20] = 90
        assert label_on(replace(front, grey=stained), printed.target) is Unread.UNCLEAR


class TestRefused:
    def test_are_front_and_back_of_two_runs(self, scans: Callable) -> None:
        printed, front, _ = scans(run=11)
        back = scans(run=12)[2]
        with pytest.raises(ScanRefused, match="front.png is of run 11, but back.png of run 12"):
            read_scans(front, back, printed.target)

    def test_are_a_target_and_a_proof(self, scans: Callable) -> None:
        proof = Correction(turn_degrees=0.1)
        printed, front, _ = scans()
        with pytest.raises(ScanRefused, match="is of a target, but back.png of a proof"):
            read_scans(front, scans(proof=proof)[2], printed.target, correction=proof)

    def test_is_a_sheet_printed_by_an_earlier_version(self, scans: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(target_sheet, "_label", lambda *_: None)
        printed, front, back = scans(seed=41)
        with pytest.raises(ScanRefused, match=r"earlier version.*print-folder align laser --sheet small print"):
            read_scans(front, back, printed.target)

    @pytest.mark.parametrize(
        ("change", "words"),
        [
            ({"printer": "second"}, "is the target of laser on small, not of second on small"),
            ({"sheet_name": "heavy"}, "is the target of laser on small, not of laser on heavy"),
            ({"sheet_name": "heavy", "known": ()}, "a printer or a sheet that the settings do not have"),
        ],
    )
    def test_is_another_printers_or_sheets_target_by_name(self, scans: Callable, change: Any, words: str) -> None:
        printed, front, back = scans()
        known = change.pop("known", [printed.target])
        with pytest.raises(ScanRefused, match=words):
            read_scans(front, back, replace(printed.target, **change), known=known)

    def test_is_a_target_of_another_size_by_name(self, scans: Callable, target: Callable) -> None:
        printed, front, back = scans()
        with pytest.raises(ScanRefused, match="front.png is the target of laser on small, not of laser on letter"):
            read_scans(front, back, target("letter"), known=[printed.target])

    def test_is_a_target_for_another_flip(self, scans: Callable, settings: Any) -> None:
        """Its back has the marks elsewhere, so that it would look mirrored or upside down."""
        printed, front, back = scans()
        sheet = settings.sheets["small"]
        short = place_target(sheet, settings.printer_for(sheet), Flip.SHORT_EDGE)
        for one, other in ((front, back), (back, front)):
            with pytest.raises(ScanRefused, match="flip on the long edge. Now they have.*flip on the short edge"):
                read_scans(one, other, short, known=[printed.target])

    def test_is_a_target_of_a_sheet_whose_rim_has_changed_a_little(self, shop: Any, scans: Callable) -> None:
        printed, front, back = scans()
        file = shop / "settings.toml"
        file.write_text(
            file.read_text().replace('size = "4.5 x 6.5 in"', 'size = "4.5 x 6.5 in"\nunprintable = "7 mm"')
        )
        changed = load_settings(file)
        sheet = changed.sheets["small"]
        with pytest.raises(
            ScanRefused, match="another size or another unprintable rim|has its size or unprintable rim"
        ):
            read_scans(front, back, place_target(sheet, changed.printer_for(sheet)))


class TestProof:
    TRUE = Correction(shift=Point(Fraction("1.5"), Fraction("-1.2")), turn_degrees=0.2)

    def printed(self, scans: Callable, centred: Callable, proof: Correction) -> tuple[Any, Scan, Scan]:
        true = centred(SIZE, 0.2, 1, 1, (1.5, -1.2))
        return scans(true=true, outline=SQUARE, proof=proof, run=5)

    def test_with_the_right_correction_reads_nothing(self, scans: Callable, centred: Callable) -> None:
        printed, front, back = self.printed(scans, centred, self.TRUE)
        sheet = read_scans(front, back, printed.target, correction=self.TRUE)
        assert (sheet.use, sheet.run) == (Use.PROOF, 5)
        assert max(abs(float(way)) for one in sheet.readings for way in (one.right, one.up)) < 0.05

    @pytest.mark.parametrize(
        ("in_force", "words"),
        [(Correction(), "another correction than the one in force"), (None, "none is in force now")],
    )
    def test_of_a_correction_that_is_not_in_force_is_refused(
        self, scans: Callable, centred: Callable, in_force: Any, words: str
    ) -> None:
        printed, front, back = self.printed(scans, centred, self.TRUE)
        with pytest.raises(ScanRefused, match=words):
            read_scans(front, back, printed.target, correction=in_force)
