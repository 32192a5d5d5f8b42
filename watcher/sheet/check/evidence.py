"""Collect evidence of a wrong sheet: files for debugging, and pictures for the shop owner."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass

from watcher.sheet.check.by_sight import WrongPlace
from watcher.sheet.check.expected_page import seen_and_wanted, wanted_pages
from watcher.sheet.check.neighbours import Pixels
from watcher.sheet.check.render import CLOSER_PPI, SheetRenderer
from watcher.sheet.draw.plan import SheetPage, SheetPlan
from watcher.sheet.draw.sheet_pdf import SheetFile
from watcher.sheet.png_file import png_file


def evidence_of(files: Sequence[SheetFile], plan: SheetPlan) -> dict[str, bytes]:
    """The finished PDF, and two pictures of each page: as it was made and as it should be; by file name.

    The PDF alone where pictures cannot be made.
    """
    kept = {f"fault_{file.suffix}.pdf": file.pdf for file in files}
    with suppress(Exception):  # the sheet is broken: any part of it may be
        made = SheetRenderer(files, plan, once=False).pages()
        for page, wanted in zip(made, wanted_pages(made, plan), strict=True):
            name = f"fault_{page.side}" if page.form == 0 else f"fault_layout-{page.form + 1}_{page.side}"
            kept[f"{name}-as-made.png"] = png_file(page.pixels)
            kept[f"{name}-as-wanted.png"] = png_file(wanted.pixels)
    return kept


@dataclass(frozen=True, kw_only=True, eq=False)
class SuspectPlace:
    """A place that does not look like its art, for a person to judge; pictures are RGB.

    Attributes:
        page: the page it is on.
        number: the number of the place.
        sheet: the whole page.
        box: the place on it: left, top, right, bottom, pixels.
        made: the place alone, as it is on the sheet.
        wanted: the same as the art itself shows it.
    """

    page: SheetPage
    number: int
    sheet: Pixels
    box: tuple[int, int, int, int]
    made: Pixels
    wanted: Pixels


def suspect_place(files: Sequence[SheetFile], plan: SheetPlan, unlike: WrongPlace) -> SuspectPlace | None:
    """Pictures of a wrong place as it is and as it should be; None where no picture can be made."""
    with suppress(Exception):  # the sheet may be broken: any part of it
        pages = SheetRenderer(files, plan, ppi=CLOSER_PPI[0], once=False).pages(only={unlike.page.form})
        page = next(one for one in pages if one.page == unlike.page)
        box, wanted = seen_and_wanted(page, plan, unlike.place)
        left, top, right, bottom = box
        made = page.pixels[top:bottom, left:right]
        return SuspectPlace(page=unlike.page, number=unlike.place, sheet=page.pixels, box=box, made=made, wanted=wanted)
    return None
