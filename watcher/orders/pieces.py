"""Decide which side of which design each file, PDF page or numbered page of a ZIP is.

Where one side of a card is wanted (it has but one, or the other is common), pages are as many designs. Where two are,
they are front and back; that more of them are front and back in turn is said by the ticket, and never guessed.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from watcher.errors import FolderUnclear, NameUnclear, OrderHeld
from watcher.inbox.found import Found
from watcher.orders.model import MOST_DESIGNS, Piece, Ticket, design_numbers
from watcher.settings.card import CardSettings
from watcher.terms import Side

_IN_TURN = 'When they are many cards, front and back in turn, write designs = "pages" in its job ticket.'
_Page = tuple[Found, int | None]  # a find, and which page of it from 0; None for a picture


class SideUnsaid(NameUnclear):
    """Art that does not say which side of its card it is."""

    def __init__(self, found: Sequence[Found]) -> None:
        super().__init__(f"{found[0].shown} does not say which side it is.")
        self.found = tuple(found)


def sides_wanted(card: CardSettings) -> tuple[Side, ...]:
    """Give the sides that every order must bring; a common side comes from the settings."""
    sides = (Side.FRONT,) if card.sides == 1 else (Side.FRONT, Side.BACK)
    return tuple(side for side in sides if side not in card.common_art)


def pieces_of(art: Sequence[Found], card: CardSettings, ticket: Ticket) -> list[Piece]:
    """Decide which side of which design each find is.

    Raises:
        OrderHeld: a side that the card does not have or that is common; pages that are not clear; too many designs.
    """
    wanted = sides_wanted(card)
    art = _with_implied_fronts(art) if len(wanted) == 2 else art
    many = [found for found in art if found.is_numbered and found.design is None]
    if len(wanted) == 1 and len(many) > 1:
        pieces = [*_numbered(many, wanted[0]), *_of_each([one for one in art if one not in many], card, wanted, ticket)]
    elif len(wanted) == 2 and (ticket.in_turn or any(found.parts.side is None for found in many)) and len(many) > 1:
        pieces = _numbered_in_turn(many, card, ticket)
        pieces += _of_each([one for one in art if one not in many], card, wanted, ticket)
    else:
        pieces = _of_each(art, card, wanted, ticket)
    if len(wanted) == 1:
        _refuse_several_of_a_folder(pieces)
    designs = len(design_numbers(pieces))
    if designs > MOST_DESIGNS:
        raise OrderHeld(
            f"{art[0].shown} and what belongs to it make {designs:,} designs; {MOST_DESIGNS} are the most."
            " Split them into several orders."
        )
    return pieces


def _with_implied_fronts(art: Sequence[Found]) -> list[Found]:
    """A picture without a side word beside one that is a back can only be the front: `menu.png`, `menu back.png`."""
    of_design: dict[int | None, list[Found]] = {}
    for found in art:
        of_design.setdefault(found.design, []).append(found)
    fronts = set()
    for together in of_design.values():
        unsaid = [found for found in together if _says_no_side(found)]
        others = [found for found in together if found not in unsaid]
        if len(unsaid) == 1 and others and all(found.parts.side is Side.BACK for found in others):
            fronts.add(id(unsaid[0]))
    return [
        replace(found, parts=replace(found.parts, side=Side.FRONT)) if id(found) in fronts else found for found in art
    ]


def _says_no_side(found: Found) -> bool:
    return found.parts.side is None and not found.is_numbered and found.pages is None


def _refuse_several_of_a_folder(pieces: Sequence[Piece]) -> None:
    """Refuse pictures of several names in one folder: designs of one order, or several orders?"""
    named = [piece.found for piece in pieces if piece.found.container and not piece.found.is_numbered]
    names = {found.file.name for found in named if found.design is None and not found.pages and not found.parts.copy}
    if len(names) < 2:
        return
    first, second = sorted(names)[:2]
    raise FolderUnclear(
        f"{named[0].container.name if named[0].container else ''} holds {len(names)} pictures, {first} and {second}"
        f"{' among them' if len(names) > 2 else ''}. When each is another card of one order, name them by numbers,"
        f" 1{Path(first).suffix}, 2{Path(second).suffix} and so on. When each is an order by itself, put each into the"
        " inbox without the folder."
    )


def one_a_side(pieces: list[Piece], read: Callable[[Found], bytes]) -> tuple[list[Piece], list[Found]]:
    """Keep one piece for each side of each design; also gives the identical copies.

    Raises:
        OrderHeld: there are two different files for one side.
    """
    kept: dict[tuple[int, Side], Piece] = {}
    copies: list[Found] = []
    several = len(design_numbers(pieces)) > 1
    for piece in sorted(pieces, key=lambda piece: (piece.found.parts.copy or 0, piece.found.file.name)):
        first = kept.setdefault((piece.design, piece.side), piece)
        if first is piece:
            continue
        if first.page != piece.page or read(first.found) != read(piece.found):
            which = f"{piece.side} of design {piece.design}" if several else f"{piece.side}"
            raise NameUnclear(
                f"There are two different files for the {which}: {_placed(first.found)} and {_placed(piece.found)}."
                " Keep the one you mean, and put it back."
            )
        copies.append(piece.found)
    order = sorted(kept, key=lambda key: (key[0], key[1] is Side.BACK))
    return [kept[key] for key in order], copies


def _placed(found: Found) -> str:
    """Its name, and where it lies when that is not the inbox alone."""
    return f"{found.shown} of {found.earlier.place}" if found.earlier else found.shown


def _of_each(art: Sequence[Found], card: CardSettings, wanted: tuple[Side, ...], ticket: Ticket) -> list[Piece]:
    pieces: list[Piece] = []
    for found in art:
        if found.pages and found.pages > 1:
            pieces += _pages(found, card, wanted, ticket)
        else:
            pieces.append(_piece(found, card, wanted))
    return pieces


def _numbered(art: Sequence[Found], side: Side) -> list[Piece]:
    """Numbered pages of a ZIP, each the one side of a design of its number."""
    for found in art:
        if found.pages and found.pages > 1:
            raise OrderHeld(
                f"{found.shown} has {found.pages} pages, and there are other numbered pages beside it."
                " Put all pages into one PDF, or each into a file of its own."
            )
    return [
        Piece(side=side, found=found, page=0 if found.pages else None, design=found.parts.page_number or 1)
        for found in art
    ]


def _numbered_in_turn(art: Sequence[Found], card: CardSettings, ticket: Ticket) -> list[Piece]:
    """Numbered pages of a ZIP, front and back in turn."""
    file = art[0].file.name
    if not ticket.in_turn:
        raise OrderHeld(
            f"{file} holds {len(art)} numbered pages; a {card.name} card has two, 1 and 2, front and back. {_IN_TURN}"
        )
    pages: list[_Page] = []
    numbers: set[int] = set()
    for found in sorted(art, key=lambda found: found.parts.page_number or 0):
        if found.pages and found.pages > 1:
            raise OrderHeld(f"{found.shown} has {found.pages} pages among numbered ones. Put all pages into one PDF.")
        numbers.add(found.parts.page_number or 0)
        pages.append((found, 0 if found.pages else None))
    if len(numbers) < len(pages) or max(numbers) - min(numbers) + 1 != len(numbers):
        raise OrderHeld(
            f"The numbers of the pages in {file} do not follow one another: {min(numbers)} to {max(numbers)}, but"
            f" {len(pages)} pages. Put each page in once."
        )
    return _in_turn(pages, file)


def _in_turn(pages: Sequence[_Page], shown: str) -> list[Piece]:
    if len(pages) % 2:
        raise OrderHeld(
            f"{shown} has {len(pages)} pages, an odd number; front and back in turn make an even one."
            " Add the page that is missing, or leave out the one that is too many."
        )
    sides = (Side.FRONT, Side.BACK)
    return [
        Piece(side=sides[number % 2], found=found, page=page, design=number // 2 + 1)
        for number, (found, page) in enumerate(pages)
    ]


def _pages(found: Found, card: CardSettings, wanted: tuple[Side, ...], ticket: Ticket) -> list[Piece]:
    """A PDF or TIFF of several pages."""
    count = found.pages or 0
    side = None if found.is_numbered else found.parts.side
    if side is not None and side not in wanted:
        raise OrderHeld(_why_not_wanted(found, side, card))
    if found.design is not None and not (count == 2 and len(wanted) == 2 and side is None):
        raise OrderHeld(
            f"{found.shown} has {count} pages, but it is number {found.design} of several designs."
            " Put each card into a file of its own, or all into one PDF."
        )
    if len(wanted) == 1:
        return [Piece(side=wanted[0], found=found, page=page, design=page + 1) for page in range(count)]
    if side is None and (count == 2 or ticket.in_turn):
        pieces = _in_turn([(found, page) for page in range(count)], found.shown)
        return [Piece(side=one.side, found=found, page=one.page, design=found.design or one.design) for one in pieces]
    if side is None:
        raise OrderHeld(
            f"{found.shown} has {count} pages; a card has two, front and back. Export those two. {_IN_TURN}"
        )
    if ticket.in_turn:
        return [Piece(side=side, found=found, page=page, design=page + 1) for page in range(count)]
    raise OrderHeld(
        f"{found.shown} has {count} pages, but only its {side} is wanted for the card {card.name}. Export that one"
        ' page. When each page is another card, write designs = "pages" in its job ticket.'
    )


def _piece(found: Found, card: CardSettings, wanted: tuple[Side, ...]) -> Piece:
    page = 0 if found.pages else None
    side, design = found.parts.side, found.design or 1
    if side is None or (found.is_numbered and len(wanted) == 1):
        if found.is_numbered and found.parts.page_number != 1:
            raise OrderHeld(
                f"{found.shown} is a second page, but the card {card.name} takes one page an order"
                f" (its {wanted[0]}). Leave it out."
            )
        return Piece(side=_only_side(found, wanted), found=found, page=page, design=design)
    if side not in wanted:
        raise OrderHeld(_why_not_wanted(found, side, card))
    return Piece(side=side, found=found, page=page, design=design)


def _only_side(found: Found, wanted: tuple[Side, ...]) -> Side:
    if len(wanted) == 1:
        return wanted[0]
    if found.pages == 1:
        return Side.FRONT  # a one-page PDF is a front; its back comes beside it
    raise SideUnsaid([found])


def _why_not_wanted(found: Found, side: Side, card: CardSettings) -> str:
    if card.sides == 1:
        return (
            f"{found.shown} is a {side}, but the card {card.name} is printed on one side."
            f" Put it into the folder of a two-sided card, or name it {found.parts.order}.{found.parts.extension}."
        )
    return (
        f"{found.shown} is a {side}, but every {card.name} card has the same {side} (common_{side} in the settings)."
        " Leave it out, or put the order into the folder of another card."
    )
