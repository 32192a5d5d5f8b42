"""Pictures that are no fair scans are refused for what they are: a photo, faint toner, a bent sheet."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tests.long_form import in_long_form
from watcher.align.register.scan_file import Scan, ScanRefused, open_scan
from watcher.align.register.scans import read_scans
from watcher.layout.register.doubt import DoubtKind, doubts
from watcher.layout.register.fit import fit_register
from watcher.layout.register.readings import ReadBy

PPI = 150.0
CAMERA_MM = 350.0  # above the sheet


@pytest.fixture
def scans(print_target: Callable, placing: Any, kept_scans: dict[str, Any]) -> Callable[..., tuple[Any, Scan, Scan]]:
    def made(ink: float = 1.0, **more: Any) -> tuple[Any, Scan, Scan]:
        key = repr((ink, more))
        if key not in kept_scans:
            printed = print_target("small", 50, ink=ink)
            pair = printed.scans(placing(ppi=PPI, turn=0.6, **more), placing(ppi=PPI, turn=-0.9, **more), 5)
            kept_scans[key] = (printed, *pair)
        return kept_scans[key]

    return made


def photographed(scan: Scan, degrees: float) -> Scan:
    """The picture as a camera sees it that is held askew by so much: a plain pinhole projection."""
    height, width = scan.grey.shape
    angle, away = np.radians(degrees), CAMERA_MM * PPI / 25.4
    tilted = np.array([[away, 0, 0], [0, away * np.cos(angle), 0], [0, np.sin(angle), away]])
    middle = np.array([[1, 0, -width / 2], [0, 1, -height / 2], [0, 0, 1]])
    back = np.linalg.inv(np.linalg.inv(middle) @ tilted @ middle)
    picture = Image.fromarray(scan.grey).transform(
        (width, height),
        Image.Transform.PERSPECTIVE,
        tuple((back / back[2, 2]).ravel()[:8]),
        Image.Resampling.BILINEAR,
        fillcolor=60,
    )
    return replace(scan, grey=np.asarray(picture), ppi=None)


@pytest.mark.parametrize("degrees", [1, 14, *in_long_form(3, 8)])
def test_a_picture_taken_at_an_angle_is_called_a_photo(scans: Callable, degrees: float) -> None:
    printed, front, back = scans()
    with pytest.raises(ScanRefused, match="back.png is a photo or was taken at an angle"):
        read_scans(front, photographed(back, degrees), printed.target)


def test_a_file_that_tells_an_exposure_is_a_photo(scans: Callable, tmp_path: Path) -> None:
    """Exif 2.3 table 7: ExposureTime is tag 33434 of the Exif IFD."""
    printed, front, back = scans()
    exif = Image.Exif()
    exif.get_ifd(0x8769)[33434] = (1, 60)
    Image.fromarray(back.grey).save(tmp_path / "back.jpg", exif=exif, quality=95)
    with pytest.raises(ScanRefused, match="back.jpg is a photo: its file tells the exposure"):
        read_scans(front, open_scan(tmp_path / "back.jpg"), printed.target)


@pytest.mark.parametrize("exif", [b"", b"Exif\0\0II*\0", b"Exif\0\0nonsense", b"Exif\0\0MM\0*\0\0\0\x08\xff\xff"])
def test_damaged_notes_of_a_camera_are_passed_over(tmp_path: Path, exif: bytes) -> None:
    Image.new("L", (60, 40), 200).save(tmp_path / "a.jpg", exif=exif)
    assert not open_scan(tmp_path / "a.jpg").is_photo


@pytest.mark.parametrize("ground", [15, *in_long_form(60, 215)])
def test_faint_toner_is_measured_all_the_same(scans: Callable, ground: float) -> None:
    """A quarter of the usual darkness, also under a lid that is far darker than the ink."""
    printed, front, back = scans(ink=0.25, ground=ground)
    sheet = read_scans(front, back, printed.target)
    assert fit_register([sheet.readings], printed.target.sheet, ReadBy.SCANS).worst.distance < 0.05


def test_toner_that_is_too_faint_is_called_so(scans: Callable) -> None:
    printed, front, back = scans(ink=0.06, shine=0.0, noise=9.0)
    with pytest.raises(ScanRefused, match=r"front.png is too faint: it is only \d+% darker than the paper"):
        read_scans(front, back, printed.target)


def jumped(scan: Scan, mm: float, at: float) -> Scan:
    """The scanner's head leaves out so much at this part of its way."""
    row, rows = int(scan.grey.shape[0] * at), round(mm * PPI / 25.4)
    return replace(scan, grey=np.vstack((scan.grey[:row], scan.grey[row + rows :])))


def test_a_scan_whose_head_jumped_is_refused(scans: Callable) -> None:
    """1 mm left out between the second and the third row of marks."""
    printed, front, back = scans()
    with pytest.raises(ScanRefused, match="the scanner's head jumped"):
        read_scans(front, jumped(back, 1.0, 0.6), printed.target)


def test_a_small_jump_is_doubted_by_what_it_leaves(scans: Callable) -> None:
    """A third of a millimetre: too little to be sure of in one scan, but the marks of both do not fit."""
    printed, front, back = scans()
    sheet = read_scans(front, jumped(back, 0.36, 0.6), printed.target)
    fit = fit_register([sheet.readings], printed.target.sheet, ReadBy.SCANS)
    (doubt,) = doubts([sheet.readings], fit, printed.target.sheet, ReadBy.SCANS)
    assert doubt.kind is DoubtKind.SCANS
    assert "The scans are not quite sound" in doubt.words
