"""The record of everything that the page of instructions tells."""

from dataclasses import dataclass

from watcher.instructions.finishing import Finishing
from watcher.instructions.gang_section import GangFacts
from watcher.instructions.preview import LatePicture
from watcher.instructions.printing import Printing
from watcher.layout.marks.sheet_marks import SheetMarks
from watcher.layout.model import Layout
from watcher.orders.cost import Cost
from watcher.orders.model import DesignPlaces
from watcher.orders.quantity import SheetCount
from watcher.orders.wishes import Wishes
from watcher.settings.to_toml import SheetSetup
from watcher.terms import Finding, Marks


@dataclass(frozen=True, kw_only=True)
class Instructions:
    """What the page tells: the records of the order, or of the gang run, whole.

    Attributes:
        order: the order's own name, that of its folder.
        printed_as: the name on its sheets, where that is another one: that of the first making of the same art.
        cards: the names of its cards.
        date: of the first making, as it is to be shown.
        settings: what it was made with; of a gang run those of any of its orders.
        wishes: note and due date are told; the rest stands in other records.
        count: cards and sheets.
        layout: where the cards lie.
        marks: where the sheet is marked.
        finishing: what is done to the printed sheets.
        findings: what the checks said.
        printing: which files are printed, and how.
        preview: the picture of the finished sheet; None where none was made.
        designs: which of several designs lies where; None for an order of one.
        gang: where orders share the sheets, whose each place is.
        cost: of all its sheets; None where no price is known.
    """

    order: str
    printed_as: str | None = None
    cards: str
    date: str
    settings: SheetSetup
    wishes: Wishes
    count: SheetCount
    layout: Layout
    marks: SheetMarks
    finishing: Finishing
    findings: tuple[Finding, ...]
    printing: Printing
    preview: LatePicture | None = None
    designs: DesignPlaces | None = None
    gang: GangFacts | None = None
    cost: Cost | None = None

    @property
    def inches_first(self) -> bool:
        """Whether people read inches first: the settings give the card in inches."""
        return self.finishing.inches_first

    @property
    def has_marks(self) -> bool:
        """Whether the sheet carries a cutting mark at all."""
        lines = {(stroke.is_upright, stroke.line) for stroke in self.finishing.plan.strokes}
        return self.settings.sheet.marks is not Marks.NONE and not lines <= set(self.marks.unmarked)

    @property
    def has_score_marks(self) -> bool:
        """Whether folds are marked, where there are any."""
        left_out = any(finding.code == "score-marks-left-out" for finding in self.findings)
        return self.settings.sheet.marks is not Marks.NONE and not left_out

    @property
    def has_numbers(self) -> bool:
        """Whether both sides of different sheets say which sheet they are."""
        return self.settings.sheet.slug and all(finding.code != "slug-left-out" for finding in self.findings)
