"""A printer's correction on its way to the sheets: from the settings or from alignment.toml, and what it costs."""

from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from watcher.service.loop import Service

Once = Callable[[Path], Service]


def shifted(folder: Path, right: str, up: str) -> None:
    file = folder / "settings.toml"
    file.write_text(file.read_text() + f'[printers.office.align.letter]\nshift = ["{right}", "{up}"]\n')


def back_page(folder: Path) -> bytes:
    reader = pypdf.PdfReader(folder / "outbox/lantern/lantern_sheets.pdf")
    return reader.pages[1].get_contents().get_data()


def test_the_back_page_is_moved_by_one_matrix(print_folder: Path, once: Once, drop_pair: Callable[..., None]) -> None:
    """+0.8 mm right, +0.5 mm up, in points: 0.8 / 25.4 * 72 = 2.267717, 0.5 / 25.4 * 72 = 1.417323."""
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace('sheet = "letter"', 'sheet = "letter"\nleast_bleed = "2 mm"'))
    shifted(print_folder, "0.8 mm", "0.5 mm")
    drop_pair(print_folder / "inbox")
    once(print_folder)
    first, *matrix = back_page(print_folder).partition(b" cm")[0].split()
    assert (first, [float(value) for value in matrix]) == (
        b"q",
        pytest.approx([1, 0, 0, 1, 2.267717, 1.417323], abs=1e-6),
    )


def test_a_correction_that_takes_bleed_is_a_warning_with_what_is_left(
    print_folder: Path, once: Once, drop_pair: Callable[..., None]
) -> None:
    shifted(print_folder, "0 mm", "1 mm")
    drop_pair(print_folder / "inbox")
    once(print_folder)
    ticket = (print_folder / "outbox/lantern/lantern_ticket.toml").read_text()
    assert "correction-eats-bleed" in ticket
    assert "0.0856 in of the 0.125 in of bleed around them is left" in ticket  # 2.175 and 3.175 mm


def test_one_that_takes_more_than_half_of_it_holds_the_order(
    print_folder: Path, once: Once, drop_pair: Callable[..., None]
) -> None:
    shifted(print_folder, "0 mm", "2 mm")
    drop_pair(print_folder / "inbox")
    once(print_folder)
    assert "correction of office" in " ".join((print_folder / "held/lantern/why.txt").read_text().split())


def test_a_damaged_alignment_file_holds_the_order_and_is_never_taken_for_none(
    print_folder: Path, once: Once, drop_pair: Callable[..., None]
) -> None:
    (print_folder / "alignment.toml").write_text("not [ toml")
    drop_pair(print_folder / "inbox")
    once(print_folder)
    assert "alignment.toml" in (print_folder / "held/lantern/why.txt").read_text()
