"""Checks of PDF pages: typefaces that are not in the file, comments and form fields."""

from collections.abc import Iterable, Iterator

from watcher.art.model import CardFace, PageAnnotations, VectorPage
from watcher.records.plain_text import one_line
from watcher.settings.card import CardSettings
from watcher.settings.printer import PrinterSettings
from watcher.terms import Finding, Level

# The typefaces that every reader must have, in a form of its own (ISO 32000-1 9.6.2.2), and what writers call them.
_EVERYWHERE = ("Helvetica", "Times", "Courier", "Symbol", "ZapfDingbats", "Arial")
_TOLD = 3


def loose_fonts(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find type whose typeface is not in the file: every reader puts another one in its place."""
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


def annotations_on_page(face: CardFace, card: CardSettings, printer: PrinterSettings) -> Iterable[Finding]:
    """Find comments and form fields: those that the file marks for printing are drawn, the others are not."""
    page = face.art.content
    if not isinstance(page, VectorPage):
        return
    for level, code, said in _said_of(page.facts.annotations):
        yield Finding(level=level, code=code, message=f"{face.art.file} {said}", side=face.art.side)


def _said_of(annotations: PageAnnotations) -> Iterator[tuple[Level, str, str]]:
    if annotations.without_look:
        kinds = annotations.without_look
        said = (
            f"has {_counted(len(kinds), 'thing')} on its page to be printed ({', '.join(sorted(set(kinds)))}) of which "
            "it does not say how it looks, and so it is missing on the card. Print it into a new PDF, or export it as "
            "a picture (PNG)."
        )
        yield Level.HOLD, "printed-thing-missing", said
    if annotations.odd_letters:
        letters = annotations.odd_letters
        said = (
            f"has words filled in with {_counted(len(letters), 'letter')} that its form has no typeface for "
            f"({one_line(letters, 20)}): they may be missing on the card. Print it into a new PDF, or export it as a "
            "picture (PNG)."
        )
        yield Level.HOLD, "letters-missing", said
    if annotations.remarks:
        said = (
            f"has {_counted(annotations.remarks, 'note')} for readers that it says are to be printed: the sign of "
            "each would be on the card. Delete it and export again."
        )
        yield Level.HOLD, "remarks-printed", said
    if annotations.comments:
        what = _counted(annotations.comments, "stamp or other comment", "stamps or other comments")
        said = f"has {what} that it says are to be printed: drawn as in a printout. Look at the preview."
        yield Level.WARN, "comments-printed", said
    if annotations.fields:
        said = f"has {_counted(annotations.fields, 'form field')} to be printed: drawn with what is filled in."
        yield Level.NOTE, "fields-printed", said
    if annotations.left_out:
        said = (
            f"has {_counted(annotations.left_out, 'comment or form field', 'comments or form fields')} on its page "
            "that a viewer shows but the file does not mark for printing; left out. If it belongs to the design, "
            "export it again as a plain PDF."
        )
        yield Level.WARN, "notes-left-out", said


def _counted(count: int, one: str, many: str | None = None) -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"


def _is(things: tuple[str, ...]) -> str:
    return "is" if len(things) == 1 else "are"
