"""Checks of PDF pages: typefaces that are not in the file, notes that are no part of the page."""

from collections.abc import Iterable

from watcher.art.model import CardFace, Finding, VectorPage
from watcher.records.plain_text import one_line
from watcher.settings.model import CardSettings, PrinterSettings
from watcher.terms import Level

# The typefaces that every reader must have, in a form of its own (ISO 32000-1 9.6.2.2), and what writers call them.
_EVERYWHERE = ("Helvetica", "Times", "Courier", "Symbol", "ZapfDingbats", "Arial")
_TOLD = 3


def loose_fonts(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Type whose typeface is not in the file: every reader puts another one in its place."""
    page = face.art.content
    if not isinstance(page, VectorPage) or not page.facts.loose_fonts:
        return
    fonts = page.facts.loose_fonts
    common = all(font.startswith(_EVERYWHERE) for font in fonts)
    more = f" and {len(fonts) - _TOLD} more" if len(fonts) > _TOLD else ""
    said = (
        f"{face.art.file} uses {len(fonts)} {'typeface' if len(fonts) == 1 else 'typefaces'} that {_is(fonts)} not in "
        f"the file ({', '.join(one_line(font) for font in fonts[:_TOLD])}{more}); the text will look different. "
        "Export it with its fonts embedded, or as a picture (PNG)."
    )
    level = Level.WARN if common and not printer.output_profile else Level.HOLD
    yield Finding(level=level, code="fonts-not-embedded", message=said, side=face.art.side)


def notes_on_page(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Comments and form fields show in a viewer but are never printed."""
    page = face.art.content
    if isinstance(page, VectorPage) and page.facts.notes:
        count = page.facts.notes
        said = (
            f"{face.art.file} has {count} {'comment or form field' if count == 1 else 'comments or form fields'} on "
            "its page; such things are not printed. If they belong to the design, export it again as a plain PDF."
        )
        yield Finding(level=Level.WARN, code="notes-left-out", message=said, side=face.art.side)


def _is(things: tuple[str, ...]) -> str:
    return "is" if len(things) == 1 else "are"
