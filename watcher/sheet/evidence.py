"""What is kept of a sheet that is not as it should be, for whoever mends the program."""

from collections.abc import Sequence
from contextlib import suppress

from watcher.sheet.draw import SheetFile
from watcher.sheet.plan import SheetPlan
from watcher.sheet.png_file import png_file
from watcher.sheet.render import SheetRenderer
from watcher.sheet.render_check import wanted_pages


def evidence_of(files: Sequence[SheetFile], plan: SheetPlan) -> dict[str, bytes]:
    """The finished PDF and, of each page, a picture as it was made and one as the art wants it; by file name.

    Where pictures cannot be made of it either, the PDF alone.
    """
    kept = {f"fault_{file.suffix}.pdf": file.pdf for file in files}
    with suppress(Exception):  # the sheet is broken: any part of it may be
        made = SheetRenderer(files, plan, once=False).pages()
        for page, wanted in zip(made, wanted_pages(made, plan), strict=True):
            name = f"fault_{page.side}" if page.form == 0 else f"fault_layout-{page.form + 1}_{page.side}"
            kept[f"{name}-as-made.png"] = png_file(page.pixels)
            kept[f"{name}-as-wanted.png"] = png_file(wanted.pixels)
    return kept
