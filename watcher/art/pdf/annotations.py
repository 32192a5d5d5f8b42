"""List the annotations of a PDF page (comments, stamps, form fields) and tell which are printed.

Source: ISO 32000-1 12.5.2 and 12.5.3 (annotations and their flags), 12.5.5 (appearance streams), 12.7.3 (fields inherit
from their parents), 8.11 (layers).
"""

from collections.abc import Iterator

from pypdf import PageObject
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject, PdfObject, StreamObject, TextStringObject

from watcher.art.model import PageAnnotations

_INVISIBLE, _HIDDEN, _PRINT, _NO_VIEW = 1, 2, 4, 32  # Table 165
# fmt: off
_STANDARD = frozenset(  # Table 169
    {
        "/Text", "/Link", "/FreeText", "/Line", "/Square", "/Circle", "/Polygon", "/PolyLine", "/Highlight",
        "/Underline", "/Squiggly", "/StrikeOut", "/Stamp", "/Caret", "/Ink", "/Popup", "/FileAttachment", "/Sound",
        "/Movie", "/Widget", "/Screen", "/PrinterMark", "/TrapNet", "/Watermark", "/3D",
    }
)
# fmt: on
# Of these nothing belongs to the art: windows of comments, and marks and traps for a press of somebody else.
_NO_PART_OF_THE_LOOK = frozenset({"/Popup", "/PrinterMark", "/TrapNet"})
_FOR_READERS = frozenset({"/Text", "/FileAttachment", "/Caret", "/Sound", "/Movie"})  # signs that stand for a remark
_WIDGET, _LINK = "/Widget", "/Link"
_DEEPEST = 30  # fields within fields
_PUSH_BUTTON = 1 << 16  # Table 226


def annotations_of(page: PageObject) -> Iterator[DictionaryObject]:
    """The annotations of a page that could be part of its look."""
    listed = entry(page, "/Annots")
    for one in listed if isinstance(listed, ArrayObject) else ():
        annotation = one.get_object()
        if isinstance(annotation, DictionaryObject) and _kind(annotation) not in _NO_PART_OF_THE_LOOK:
            yield annotation


def is_printed(annotation: DictionaryObject, hidden: frozenset[int]) -> bool:
    """Whether an annotation is printed with its page, if it shows anything.

    One with NoView is: that flag is about the screen.

    Args:
        annotation: of the page.
        hidden: the file's layers that are off.
    """
    flags = _flags(annotation)
    if not flags & _PRINT or flags & _HIDDEN or (flags & _INVISIBLE and _kind(annotation) not in _STANDARD):
        return False
    layer = annotation.raw_get("/OC") if "/OC" in annotation else None
    return not (isinstance(layer, IndirectObject) and layer.idnum in hidden)


def should_show(annotation: DictionaryObject) -> bool:
    """Whether an annotation shows something: it has a look, or readers are to make one of what it says."""
    if look_of(annotation) is not None:
        return True
    if _kind(annotation) == _WIDGET:
        value = inherited(annotation, "/V")
        is_filled = value is not None and str(value) not in ("", "/Off")
        return str(inherited(annotation, "/FT")) != "/Sig" and (is_filled or _is_framed(annotation))
    if _kind(annotation) == _LINK:
        return _frame_width(annotation) > 0
    return True


def look_of(annotation: DictionaryObject) -> StreamObject | None:
    """What an annotation looks like, in the state that it is in; None where the file does not say."""
    looks = entry(entry(annotation, "/AP"), "/N")
    if isinstance(looks, DictionaryObject) and not isinstance(looks, StreamObject):
        state = entry(annotation, "/AS") or inherited(annotation, "/V") or "/Off"
        looks = entry(looks, str(state))
    return looks if isinstance(looks, StreamObject) else None


def is_drawn_nowhere(annotation: DictionaryObject) -> bool:
    """Whether something that is to be printed has no look of its own and none could be made for it.

    A box that is not ticked, or a field without a word in it, has none and needs none.
    """
    if look_of(annotation) is not None:
        return False
    looks = entry(entry(annotation, "/AP"), "/N")
    return should_show(annotation) and not isinstance(looks, DictionaryObject)


def count_annotations(page: PageObject, hidden: frozenset[int]) -> PageAnnotations:
    """What is to be said of the annotations of a page.

    Args:
        page: as it is before anything is drawn into it, but with all looks that can be made.
        hidden: the file's layers that are off.
    """
    every = list(annotations_of(page))
    printed = [one for one in every if is_printed(one, hidden)]
    left_out = [one for one in every if not is_printed(one, hidden)]
    looks = [one for one in printed if look_of(one) is not None]
    return PageAnnotations(
        fields=sum(_kind(one) == _WIDGET for one in looks),
        comments=sum(_kind(one) not in _FOR_READERS | {_WIDGET} for one in looks),
        remarks=sum(_kind(one) in _FOR_READERS for one in looks),
        without_look=tuple(sorted(_kind(one)[1:] for one in printed if is_drawn_nowhere(one))),
        left_out=sum(_is_seen_in_a_viewer(one) for one in left_out),
    )


def odd_letters(annotation: DictionaryObject) -> str:
    """Letters of a field or text box outside the encoding of its typeface (WinAnsi, ISO 32000-1 Annex D), once each.

    Where a look is made, readers take another typeface for them if they find one, or leave them out without a word.
    """
    words = inherited(annotation, "/V") if _kind(annotation) == _WIDGET else entry(annotation, "/Contents")
    letters = dict.fromkeys(words) if isinstance(words, TextStringObject) else ()
    return "".join(letter for letter in letters if letter.isprintable() and not letter.encode("cp1252", "ignore"))


def _is_seen_in_a_viewer(annotation: DictionaryObject) -> bool:
    if _flags(annotation) & (_HIDDEN | _NO_VIEW) or _kind(annotation) == _LINK:
        return False
    return should_show(annotation)


def inherited(annotation: DictionaryObject, key: str) -> PdfObject | None:
    """What a form field says, or one that it is a part of."""
    owner: PdfObject | None = annotation
    for _ in range(_DEEPEST):
        if not isinstance(owner, DictionaryObject):
            return None
        if (value := entry(owner, key)) is not None:
            return value
        owner = entry(owner, "/Parent")
    return None


def entry(owner: PdfObject | None, key: str) -> PdfObject | None:
    """The value of a key, whether it stands there or is referred to; None without one."""
    value = owner.raw_get(key) if isinstance(owner, DictionaryObject) and key in owner else None
    return value.get_object() if value is not None else None


def _kind(annotation: DictionaryObject) -> str:
    return str(entry(annotation, "/Subtype"))


def _flags(annotation: DictionaryObject) -> int:
    flags = entry(annotation, "/F")
    return flags if isinstance(flags, int) else 0


def _is_framed(field: DictionaryObject) -> bool:
    """Whether a field has a frame, a ground, or as a button a word on it (Table 189)."""
    said, flags = entry(field, "/MK"), inherited(field, "/Ff")
    is_button = str(inherited(field, "/FT")) == "/Btn" and isinstance(flags, int) and bool(flags & _PUSH_BUTTON)
    return any(bool(entry(said, key)) for key in ("/BC", "/BG")) or (is_button and entry(said, "/CA") is not None)


def _frame_width(link: DictionaryObject) -> float:
    """How thick the frame of a link is (12.5.4): one point where nothing is said of it."""
    style, border = entry(link, "/BS"), entry(link, "/Border")
    width = entry(style, "/W")
    if width is None and isinstance(border, ArrayObject) and len(border) > 2:
        width = border[2].get_object()
    return float(width) if isinstance(width, int | float) else 1.0
