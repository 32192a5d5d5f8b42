"""The records of an order on its way: job ticket, plan of what lies in the inbox, and the order once it is taken."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from watcher.errors import OrderHeld
from watcher.inbox.found import Earlier, Found
from watcher.inbox.scan import SeenFile
from watcher.orders.wishes import Wishes
from watcher.settings.card import CardSettings
from watcher.terms import EarlierUse, Sequencing, Side

GroupKey = tuple[str, str]  # the card folder and the name, as they are compared

OF_ALL = 0  # the design of art that every design shares
MOST_DESIGNS = 500  # ours, of one order
_NAMES_SAID = 6
_MOST_SHOWN = 8  # numbers, or runs of them
DESIGNS = "designs"  # what `missing` says where designs, or sides of some, have not come


@dataclass(frozen=True, kw_only=True)
class Ticket:
    """A job ticket as it was dropped.

    Attributes:
        wishes: what it says of the order.
        designs: how many different cards the order has; None where it is not said.
        in_turn: the pages are many cards, front and back in turn (`designs = "pages"`).
        repeat: the archived order that is to be made again, or None.
    """

    wishes: Wishes = Wishes()
    designs: int | None = None
    in_turn: bool = False
    repeat: "Repeat | None" = None


@dataclass(frozen=True, kw_only=True)
class Repeat:
    """An archived order that is to be made again; what shall be otherwise this time stands in the order's `Wishes`.

    Attributes:
        order: the name it is asked for by.
        sheets_only: so many sheets and no more, in place of spoiled ones; None: as many as the cards take.
        as_before: with the settings of the first time, whatever they are now.
    """

    order: str
    sheets_only: int | None = None
    as_before: bool = False


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One side of a card and where its art was found.

    `page` counts from 0 and is None for an image; `design` is the number of the card among those of the order.
    """

    side: Side
    found: Found
    page: int | None = None
    design: int = 1


@dataclass(frozen=True, kw_only=True)
class AskedOrder:
    """What is asked for under one name: the same while its files lie in the inbox and once they are taken.

    Attributes:
        name: as written.
        key: the name as it is compared.
        folder: the card folder it lay in, None for the top of the inbox.
        wishes: what is wanted; card, sheet, quantity and overs are known unless a fault kept them from being so. Of a
            repeat only what shall be otherwise than the first time.
        repeat: what is to be made again out of the archive, when it is that. Its only file is a job ticket; its art,
            and what its wishes leave open, come from the archive when it is made.
        accepted: the person has seen the soft findings and wants it printed.
        seen: the marks of the findings that this holds for; empty for all of them.
        overruled: the person has seen the sheet and says that it is right, whatever the check by sight says.
        fault: why this can never be made as it is, or None.
        fault_code: the fault's word for machines; empty for that of `OrderHeld`.
        missing: the side (for a lone job ticket the art, of many designs some of them) that has not come, or None.
        came_in: the name of the folder that is the order; empty for files that lie by themselves.
    """

    name: str
    key: str
    folder: str | None
    wishes: Wishes = Wishes()
    repeat: Repeat | None = None
    accepted: bool = False
    seen: tuple[str, ...] = ()
    overruled: bool = False
    fault: str | None = None
    fault_code: str = ""
    missing: str | None = None
    came_in: str = ""


@dataclass(frozen=True, kw_only=True)
class Planned(AskedOrder):
    """What lies in the inbox under one name, paired but not taken yet.

    It is complete when `fault`, `missing` and `arriving` all say nothing.

    Attributes:
        pieces: the sides found.
        beside: job tickets and identical copies, which travel with the order.
        lacks: what is missing in words, of an order of many designs: `3 and 4 are missing`.
        open_ended: nothing says how many designs there are: it is complete when nothing more has come for a while.
        arriving: something of it is still being written.
        superseded: files of an earlier try at the order in whose place newer ones have come.
        waits_for: the newer art that may still come; while it may, nothing earlier is used. None when it may be made.
        unsaid: the art that keeps it from being made because it does not say its side; else empty.
        hint: of a lone half, under which names the other one is sure to find it, as sentences; else empty.
    """

    pieces: tuple[Piece, ...] = ()
    beside: tuple[Found, ...] = ()
    lacks: str | None = None
    open_ended: bool = False
    arriving: bool = False
    superseded: tuple[Found, ...] = ()
    waits_for: str | None = None
    unsaid: tuple[Found, ...] = ()
    hint: str = ""

    @property
    def earlier_pieces(self) -> tuple[Piece, ...]:
        """The art that came with an earlier try, where newer art goes with it; else none."""
        earlier = tuple(piece for piece in self.pieces if not piece.found.is_newer)
        return earlier if len(earlier) < len(self.pieces) else ()

    @property
    def left_over(self) -> tuple[SeenFile, ...]:
        """Files of a folder that was moved back in whose place newer ones have come."""
        wanted = [found.file for found in self.superseded if found.earlier and found.earlier.use is EarlierUse.WANTED]
        used = {file.path for file in self.files}
        return tuple({file.path: file for file in wanted if file.path not in used}.values())

    @property
    def files(self) -> tuple[SeenFile, ...]:
        """Every file of the order, once each."""
        of_pieces = [piece.found.file for piece in self.pieces]
        return tuple({file.path: file for file in [*of_pieces, *(found.file for found in self.beside)]}.values())


@dataclass(frozen=True, kw_only=True)
class ArtSource:
    """Where one side's art is: a file, a member of a ZIP or a page of a PDF.

    Attributes:
        side: the face it is for.
        file: name of the file in the order's folder.
        sha256: of the art: of the file, or of the member inside a ZIP.
        member: the name to open inside the ZIP, or None.
        member_name: that name for people.
        page: page of a PDF from 0; None for images.
        file_sha256: of the whole ZIP that a member is in; None for what is a file itself.
        design: the number of the card among those of the order.
        earlier: where it lay when it came with an earlier try at the order and newer art goes with it; else None.
    """

    side: Side
    file: str
    sha256: str
    member: str | None = None
    member_name: str | None = None
    page: int | None = None
    file_sha256: str | None = None
    design: int = 1
    earlier: Earlier | None = None

    @property
    def shown(self) -> str:
        """The name for people: `1.png in spring.zip`."""
        return f"{self.member_name} in {self.file}" if self.member_name else self.file


@dataclass(frozen=True, kw_only=True)
class DesignPlaces:
    """Which of several designs lies where.

    Attributes:
        numbers: of the designs, in their order.
        sequence: how they follow each other.
        forms: each kind of sheet: the number of the design at each place (None: left empty), and how many sheets.
        only: the numbers that were asked for; empty for all.
    """

    numbers: tuple[int, ...]
    sequence: Sequencing
    forms: tuple[tuple[tuple[int | None, ...], int], ...]
    only: tuple[int, ...] = ()


@dataclass(frozen=True, kw_only=True)
class KeptFile:
    """A file of an order: its name in the order's folder, where it lay before, and its content.

    `sha256` is empty until the file has been read. `members` are the names, inside a ZIP, of what belongs to this
    order (art and job ticket); empty for a file that belongs to it as a whole.
    """

    name: str
    origin: str
    size: int
    sha256: str
    members: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Order(AskedOrder):
    """An order whose files have been taken into `archive/.taking-NUMBER`.

    Attributes:
        number: of the order, counted by the journal.
        art: where the art of each side is.
        files: all that was taken, under the names that they have in that folder.
    """

    number: int
    art: tuple[ArtSource, ...]
    files: tuple[KeptFile, ...]

    @property
    def designs(self) -> tuple[int, ...]:
        """The numbers of its designs."""
        return design_numbers(self.art)

    @property
    def has_several_designs(self) -> bool:
        """Whether its art is that of more than one card."""
        return len(self.designs) > 1

    @property
    def is_by_design(self) -> bool:
        """Whether it is laid out design by design: there are several, or one of several is made alone."""
        return self.has_several_designs or bool(self.wishes.only)

    @property
    def shown_art(self) -> str:
        """The names of its art for people, not more than a line of them."""
        names = [source.shown for source in self.art]
        more = f" and {len(names) - _NAMES_SAID} more" if len(names) > _NAMES_SAID else ""
        return ", ".join(names[:_NAMES_SAID]) + more

    @property
    def wanted_art(self) -> tuple[ArtSource, ...]:
        """The art that is printed: of all designs, or of those that were asked for alone."""
        only = self.wishes.only
        return tuple(source for source in self.art if not only or source.design in (OF_ALL, *only))

    def told_apart(self, card: CardSettings) -> list[object]:
        """Give what tells it from another order of the same art: sequence and chosen designs; empty where nothing does.

        Args:
            card: the settings of its card.
        """
        sequence, only = self.wishes.sequence_for(card), self.wishes.only
        if not only and (not self.has_several_designs or sequence is Sequencing.ACROSS):
            return []
        return [str(sequence), list(only)]


def design_numbers(art: Iterable[Piece | ArtSource]) -> tuple[int, ...]:
    """Give the numbers of the designs that there is art for, without what all designs share."""
    return tuple(sorted({one.design for one in art} - {OF_ALL}))


def refuse_unknown_designs(only: Iterable[int], designs: Sequence[int]) -> None:
    """Refuse numbers that no design has.

    Raises:
        OrderHeld: there is such a number.
    """
    unknown = [number for number in only if number not in designs]
    if unknown:
        there = f"{designs[0]} to {designs[-1]}" if len(designs) > 1 else "one design"
        raise OrderHeld(f"There is no design {show_numbers(unknown)} in the order; it has {there}.")


def show_numbers(numbers: Sequence[int]) -> str:
    """Write numbers for people: `3`, `3 and 4`, `1, 2 and 5`; runs of three and more as `7 to 12`."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words: list[str] = []
    for run in runs:
        words += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(number) for number in run]
    shown = words[:_MOST_SHOWN]
    if len(words) > _MOST_SHOWN:
        shown.append("more")
    return f"{', '.join(shown[:-1])} and {shown[-1]}" if len(shown) > 1 else shown[0]
