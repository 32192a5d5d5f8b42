"""Open the art of an order: the faces of every design, and all that is to be said of them.

Of an order of many designs no small picture is kept once it has been looked at: five hundred of them would not fit into
a worker's memory. What is drawn stays packed as it came.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from io import BytesIO
from itertools import chain, groupby
from pathlib import Path

from watcher.art.checks.preflight import check_pair
from watcher.art.decode import open_art
from watcher.art.fit_words import HELD_FOR_FIT, read_on_its_side
from watcher.art.model import Art, CardFace
from watcher.art.prepare import prepare_face, sides_together
from watcher.art.reading import card_as_read
from watcher.inbox.formats import PDF, format_with
from watcher.inbox.picture_size import pixels_in
from watcher.orders.model import OF_ALL, ArtSource
from watcher.settings.card import CardSettings
from watcher.settings.printer import PrinterSettings
from watcher.terms import Finding, Side

Reader = Callable[[ArtSource], bytes]
ForPress = Callable[[Sequence[CardFace]], tuple[tuple[CardFace, ...], tuple[Finding, ...]]]
# A side of more than this is opened before the next one is read: of two of 60 million side by side the pixels alone
# take half a gigabyte. Our own choice; 5 x 7 in with bleed at 600 ppi has 14 million.
LARGE_PIXELS = 20_000_000
_NAMES_SAID = 6
_ALIKE_SAID = 10  # findings of one kind told one by one


@dataclass(frozen=True, kw_only=True)
class OpenedDesign:
    """One design: its number and its faces, the front first."""

    number: int
    faces: tuple[CardFace, ...]


@dataclass(frozen=True, kw_only=True)
class OpenedOrder:
    """The art of an order.

    Attributes:
        designs: in the order of their numbers.
        used: every source with its face, once each; what all designs share comes last, as of design `OF_ALL`.
        findings: all that is to be said, the same of many designs once.
        card: the card as its art is read: with width and height exchanged where that lies on its side.
    """

    designs: tuple[OpenedDesign, ...]
    used: tuple[tuple[ArtSource, CardFace], ...]
    findings: tuple[Finding, ...]
    card: CardSettings


def as_they_are(faces: Sequence[CardFace]) -> tuple[tuple[CardFace, ...], tuple[Finding, ...]]:
    """Where there is no press: nothing is done to the faces, and nothing to be said."""
    return tuple(faces), ()


def open_order(
    sources: Sequence[ArtSource],
    common: Sequence[ArtSource],
    card: CardSettings,
    printer: PrinterSettings,
    read: Reader,
    for_press: ForPress = as_they_are,
) -> OpenedOrder:
    """Open every design of an order, fit and check it.

    Args:
        sources: the art of each design.
        common: the sides that all designs share.
        card: what they are for.
        printer: what they will be printed by.
        read: gives the bytes of a source.
        for_press: brings faces that were checked into the colours of the press, and says what comes of it.

    Raises:
        ArtUnreadable: a file cannot be opened.
    """
    common = [*common, *(source for source in sources if source.design == OF_ALL)]  # a repeat has it with the rest
    sources = [source for source in sources if source.design != OF_ALL]
    if len({source.design for source in sources}) <= 1:
        return _open_one([*sources, *common], card, printer, read, for_press)
    return _open_many(sources, common, card, printer, read, for_press)


def _open_one(
    sources: Sequence[ArtSource], card: CardSettings, printer: PrinterSettings, read: Reader, for_press: ForPress
) -> OpenedOrder:
    sources = sorted(sources, key=lambda source: source.side is Side.BACK)
    arts = _open_sides(sources, read)
    card, of_reading = _as_read(arts, card)
    prepared = [prepare_face(art, card, printer) for art in arts]
    faces, findings = sides_together(prepared, card)
    faces, of_colour = for_press(faces)
    number = max(source.design for source in sources)
    design = OpenedDesign(number=number, faces=faces)
    return OpenedOrder(
        designs=(design,),
        used=tuple(zip(sources, faces, strict=True)),
        findings=(*of_reading, *findings, *of_colour),
        card=card,
    )


def _as_read(arts: Sequence[Art], card: CardSettings) -> tuple[CardSettings, tuple[Finding, ...]]:
    """The card as the art of a design is read, and what is to be said where that is not as the settings have it."""
    read = card_as_read(arts, card)
    return read, () if read is card else (read_on_its_side(arts, card),)


def _open_many(
    sources: Sequence[ArtSource],
    common: Sequence[ArtSource],
    card: CardSettings,
    printer: PrinterSettings,
    read: Reader,
    for_press: ForPress,
) -> OpenedOrder:
    common_art = [_open(source, read) for source in common]
    opened = _opened_one_by_one(sources, read)
    first = next(opened)
    card, of_reading = _as_read([*first[2], *common_art], card)  # all lie on one sheet: as the first is read
    shared, of_shared = _prepared(common_art, card, printer)
    shared_out, shared_colour = for_press(shared)
    said: list[tuple[tuple[str, ...], tuple[Finding, ...]]] = [((), (*of_reading, *of_shared, *shared_colour))]
    designs: list[OpenedDesign] = []
    used: list[tuple[ArtSource, CardFace]] = []
    for number, own, arts in chain([first], opened):
        faces, findings = _prepared(arts, card, printer)
        pair = check_pair([*faces, *shared], card.opened_out)
        made, of_colour = for_press(faces)
        said.append((tuple(face.art.file for face in faces), (*findings, *pair, *of_colour)))
        kept = [_without_thumbnail(face) for face in made]
        designs.append(OpenedDesign(number=number, faces=_front_first([*kept, *map(_without_thumbnail, shared_out)])))
        used += zip(own, kept, strict=True)
    used += zip(common, map(_without_thumbnail, shared_out), strict=True)
    return OpenedOrder(designs=tuple(designs), used=tuple(used), findings=say_once(said), card=card)


def _opened_one_by_one(sources: Sequence[ArtSource], read: Reader) -> Iterator[tuple[int, list[ArtSource], list[Art]]]:
    """Each design's number, sources and art, opened when it is asked for."""
    for number, of_design in groupby(sorted(sources, key=_by_design), key=lambda source: source.design):
        own = list(of_design)
        yield number, own, [_open(source, read, by_page=True) for source in own]


def _prepared(
    arts: Sequence[Art], card: CardSettings, printer: PrinterSettings
) -> tuple[tuple[CardFace, ...], tuple[Finding, ...]]:
    """Each side by itself."""
    made = [prepare_face(art, card, printer) for art in arts]
    return tuple(face for face, _ in made), tuple(chain.from_iterable(findings for _, findings in made))


def _front_first(faces: Sequence[CardFace]) -> tuple[CardFace, ...]:
    return tuple(sorted(faces, key=lambda face: face.art.side is Side.BACK))


def _by_design(source: ArtSource) -> tuple[int, bool]:
    return source.design, source.side is Side.BACK


def _without_thumbnail(face: CardFace) -> CardFace:
    return replace(face, art=replace(face.art, thumbnail=None))


def _open(source: ArtSource, read: Reader, *, by_page: bool = False) -> Art:
    """One side's art; `by_page`: its page is part of the name that people know it by."""
    return _open_data(source, read(source), by_page=by_page)


def _open_data(source: ArtSource, data: bytes, *, by_page: bool = False) -> Art:
    shown = f"page {source.page + 1} of {source.shown}" if by_page and source.page is not None else source.shown
    return open_art(source.side, shown, source.sha256, data, _ending(source), source.page)


def _open_sides(sources: Sequence[ArtSource], read: Reader) -> list[Art]:
    """All sides' art. Two pictures take as long as one, for they are unpacked outside of Python; large ones in turn."""
    if any(format_with(_ending(source)) is PDF for source in sources):
        return [_open(source, read) for source in sources]  # pdfium knows no threads
    first = read(sources[0])
    if (pixels_in(BytesIO(first)) or 0) > LARGE_PIXELS:
        opened = [_open_data(sources[0], first)]
        del first
        return opened + [_open(source, read) for source in sources[1:]]
    with ThreadPoolExecutor(len(sources)) as sides:
        opening = sides.submit(_open_data, sources[0], first)
        rest = list(sides.map(partial(_open, read=read), sources[1:]))
        return [opening.result(), *rest]


def _ending(source: ArtSource) -> str:
    return Path(source.member_name or source.file).suffix[1:].lower()


def say_once(said: Iterable[tuple[tuple[str, ...], tuple[Finding, ...]]]) -> tuple[Finding, ...]:
    """The findings of many designs, each said once: of the first that it is true of, with the names of the others.

    Args:
        said: for each design the names of its own files, and what was found.
    """
    alike: dict[tuple[object, ...], list[tuple[str, Finding]]] = {}
    for names, findings in said:
        for finding in findings:
            named = [name for name in names if name in finding.message]
            bare = finding.message
            for name in sorted(named, key=len, reverse=True):
                bare = bare.replace(name, "\0")
            alike.setdefault((finding.level, finding.code, finding.side, bare), []).append(
                (named[0] if named else "", finding)
            )
    kinds: dict[tuple[object, ...], list[list[tuple[str, Finding]]]] = {}
    for key, found in alike.items():
        kinds.setdefault(key[:3], []).append(found)
    return tuple(chain.from_iterable(_of_one_kind(groups) for groups in kinds.values()))


def _of_one_kind(groups: list[list[tuple[str, Finding]]]) -> Iterable[Finding]:
    """One by one, up to so many; but how each design would be cut, were it accepted, is told of every one."""
    said = len(groups) if groups[0][0][1].code in HELD_FOR_FIT else _ALIKE_SAID
    for group in groups[:said]:
        yield _with_others(group, "The same goes for")
    rest = [one for group in groups[said:] for one in group]
    if rest:
        yield _with_others(rest, "Much the same goes for")


def _with_others(group: list[tuple[str, Finding]], how: str) -> Finding:
    first = group[0][1]
    others = list(dict.fromkeys(name for name, _ in group[1:] if name and name != group[0][0]))
    if not others:
        return first
    names = ", ".join(_without_file(name, group[0][0]) for name in others[:_NAMES_SAID])
    more = f" and {len(others) - _NAMES_SAID} more" if len(others) > _NAMES_SAID else ""
    return replace(first, message=f"{first.message} {how} {names}{more}.")


def _without_file(name: str, first: str) -> str:
    """A name less the ZIP or PDF that it is in, when that is the one of the name said before."""
    for word in (" in ", " of "):
        head, found, file = name.rpartition(word)
        if found and first.endswith(word + file):
            return head
    return name
