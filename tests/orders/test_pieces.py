"""Which side of which design each file and page is follows from the sides that the card wants, and is never guessed."""

import pytest

from watcher.errors import OrderHeld
from watcher.orders.model import Piece, Ticket
from watcher.orders.pieces import one_a_side, pieces_of, sides_wanted
from watcher.terms import Side

PLAIN, IN_TURN = Ticket(), Ticket(in_turn=True)


@pytest.fixture
def pieces(settings, find):
    """What lies in the inbox, decided for a card; side, design and page of each."""

    def decide(card: str, ticket: Ticket = PLAIN) -> list[tuple[str, int, int | None]]:
        found = pieces_of(find(), settings.cards[card], ticket)
        return [(str(piece.side), piece.design, piece.page) for piece in found]

    return decide


def test_a_common_side_is_not_wanted_of_an_order(settings):
    wanted = {name: sides_wanted(card) for name, card in settings.cards.items()}
    assert wanted == {
        "invitation": (Side.FRONT, Side.BACK),
        "tag": (Side.FRONT,),
        "menu": (Side.FRONT,),
        "voucher": (Side.BACK,),
    }


def test_pages_are_designs_where_one_side_is_wanted_and_sides_where_two_are(drop, make, pieces):
    drop(**{"spring.pdf": make.pdf(2)})
    assert pieces("voucher") == [("back", 1, 0), ("back", 2, 1)]
    assert pieces("invitation") == [("front", 1, 0), ("back", 1, 1)]


def test_many_pages_of_two_sides_are_in_turn_only_when_the_ticket_says_so(drop, make, pieces):
    drop(**{"spring.pdf": make.pdf(4)})
    with pytest.raises(OrderHeld, match=r'spring\.pdf has 4 pages; a card has two.*write designs = "pages"'):
        pieces("invitation")
    assert pieces("invitation", IN_TURN) == [("front", 1, 0), ("back", 1, 1), ("front", 2, 2), ("back", 2, 3)]
    drop(**{"spring.pdf": make.pdf(3)})
    with pytest.raises(OrderHeld, match="has 3 pages, an odd number"):
        pieces("invitation", IN_TURN)


def test_numbered_pages_in_turn_follow_their_numbers_and_none_may_be_left_out(drop, make, pieces):
    drop(**{"spring.zip": make.packed({f"{page}.png": make.png(str(page)) for page in (10, 7, 9, 8)})})
    assert [(side, design) for side, design, _ in pieces("invitation", IN_TURN)] == [
        ("front", 1), ("back", 1), ("front", 2), ("back", 2),
    ]  # fmt: skip
    drop(**{"spring.zip": make.packed({f"{page}.png": make.png(str(page)) for page in (1, 2, 3, 5)})})
    with pytest.raises(OrderHeld, match="do not follow one another: 1 to 5, but 4 pages"):
        pieces("invitation", IN_TURN)


def test_of_one_side_copies_are_set_apart_and_two_different_files_refused(drop, make, find, read):
    drop(**{"a_front.png": make.png("x"), "a_front (1).png": make.png("x"), "b_front.png": make.png("y")})
    first, copy, other = (
        Piece(side=Side.FRONT, found=next(found for found in find() if found.file.name == name))
        for name in ("a_front.png", "a_front (1).png", "b_front.png")
    )
    assert one_a_side([copy, first], read) == ([first], [copy.found])
    with pytest.raises(OrderHeld, match=r"two different files for the front: a_front\.png and b_front\.png"):
        one_a_side([first, other], read)
