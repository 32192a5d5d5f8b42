"""Two layouts of shared sheets through a printer that is fed by hand."""

import re
from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest

from tests.stories.gang.a_gang import COLOURS, NAMES, SETTINGS, Once
from tests.stories.shop_files import ticket


class TestTwoLayoutsThroughAHandFedPrinter:
    """Two layouts, a sheet of each: which page of the backs is whose, by the small print that both sides carry."""

    @pytest.fixture
    def run(self, shop: Path, once: Once, drop: Callable[..., None]) -> Callable[[str, str], Path]:
        def make(of_sheet: str, of_printer: str) -> Path:
            text = SETTINGS.replace("gang = true", f"gang = true\ngang_layouts = 2\n{of_sheet}")
            (shop / "settings.toml").write_text(f'{text}duplex = "manual"\n{of_printer}')
            for name, colour, cards in zip(NAMES, COLOURS, (11, 5), strict=False):
                drop(shop, f"{name}_x{cards}", colour)
            once(shop)
            (folder,) = (path for path in (shop / "outbox").iterdir() if path.is_dir())
            return folder

        return make

    def numbers(self, file: Path) -> list[str]:
        with pypdfium2.PdfDocument(file) as document:
            said = [page.get_textpage().get_text_range() for page in document]
        return [re.search(r"layout \d of 2(, sheets? \d+( to \d+)? of \d+)?", text)[0] for text in said]

    def test_has_its_backs_in_the_order_of_the_stack(self, run: Callable[[str, str], Path]) -> None:
        folder = run('copies = "pages"', 'backs_order = "n-to-1"\n')
        fronts, backs = (self.numbers(folder / f"{folder.name}_{side}.pdf") for side in ("1-fronts", "2-backs"))
        assert len(set(fronts)) == 2
        assert backs == fronts[::-1]

    def test_has_a_file_for_each_layout_where_copies_are_asked_for(self, run: Callable[[str, str], Path]) -> None:
        folder = run("", "")
        sides = ("1-fronts", "2-backs")
        for layout in (1, 2):
            said = [self.numbers(folder / f"{folder.name}_layout-{layout}_{side}.pdf") for side in sides]
            assert said == [[f"layout {layout} of 2"]] * 2

    def test_says_that_the_order_is_not_known_and_in_its_ticket_how_backs_lie(
        self, shop: Path, run: Callable[[str, str], Path]
    ) -> None:
        run('copies = "pages"', "")
        told = ticket(shop, "apple")
        assert told["backs_order"] == "1-to-n"
        assert "backs-order-unknown" in [finding["code"] for finding in told["findings"]]
