"""Draw the sheets of an order, and check them in numbers and by sight while the rest of the order is made.

The check by sight runs in a thread of its own, since the renderer works outside of Python. The renderer is not safe for
threads: until the check is done nothing else in this process may use it.
"""

from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import chain

from watcher.errors import ArtUnreadable
from watcher.instructions.place_picture import place_png
from watcher.instructions.preview import FORMS_SHOWN, LatePicture, preview_picture, preview_px
from watcher.outbox.product import write_product
from watcher.sheet.check.by_sight import LooksWrong, check_by_sight
from watcher.sheet.check.evidence import evidence_of, suspect_place
from watcher.sheet.check.in_numbers import SheetWrong, read_back
from watcher.sheet.check.reader_agreement import refuse_if_readers_differ
from watcher.sheet.check.render import Rendered, SheetRenderer
from watcher.sheet.draw.plan import SheetPlan
from watcher.sheet.draw.sheet_pdf import SheetFile, draw_sheets
from watcher.work.job import HeldForFault, HeldForLooks, Job
from watcher.work.memory import give_back

LARGE_BYTES = 32 << 20


@dataclass(frozen=True, kw_only=True)
class DrawnSheets:
    """The finished files of an order, with the pictures of them and the result of their check by sight.

    Attributes:
        files: them; read again in numbers.
        cards_seen: will be each side of each card by itself (`SheetRenderer.cards`); nothing where that is not wanted.
        preview: will be the picture of the first kinds of sheet; None where nothing is looked at.
        compared: is done when the check by sight is.
        is_overruled: a person has said that the sheets are right, whatever the check says.
        found: what it says all the same; complete when it is done.
    """

    files: tuple[SheetFile, ...]
    cards_seen: "Future[tuple[Rendered, ...]]"
    preview: LatePicture | None
    compared: "Future[None]"
    is_overruled: bool = False
    found: Sequence[str] = ()

    @property
    def cards(self) -> tuple[Rendered, ...]:
        """A picture of each side of each card; waits until they are rendered."""
        return self.cards_seen.result()

    def finish(self) -> None:
        """Wait until the check by sight is done.

        Raises:
            SheetWrong: they are not as planned.
        """
        self.compared.result()

    def overruled(self) -> str | None:
        """What the check found although a person has said that the sheets are right; waits for it only in that case."""
        if not self.is_overruled:
            return None
        self.compared.result()
        return self.found[0] if self.found else None


@contextmanager
def drawn_sheets(job: Job, plan: SheetPlan) -> Iterator[DrawnSheets]:
    """Draw the sheets, and check them while the body of the `with` statement makes the rest.

    Without the check by sight nothing is rendered, unless the customer is to see the card.

    Args:
        job: the order, or any of those that share the sheets.
        plan: what the sheets look like.

    Raises:
        HeldForFault: they are not as planned; the evidence lies in the order's building folder.
        HeldForLooks: they do not look like their art, and a person may say that they are right.
    """
    files = draw_sheets(plan)
    check = _SheetCheck(job, plan, files)
    is_large = sum(len(file.pdf) for file in files) > LARGE_BYTES
    try:
        if is_large:  # one after the other: reading takes as much memory again, and the renderer three times as much
            read_back(files, plan)
            give_back()
        with ThreadPoolExecutor(1) as thread:
            drawn = check.begin(thread)
            if is_large:
                drawn.finish()
            else:
                read_back(files, plan)
            yield drawn
            drawn.finish()
    except LooksWrong as wrong:
        raise _held_for_looks(job, files, plan, wrong) from wrong
    except SheetWrong as wrong:
        refuse_if_readers_differ(plan)
        kept = evidence_of(files, plan)
        write_product(job.building, kept)
        raise HeldForFault(wrong.fault, tuple(kept)) from wrong


def _held_for_looks(job: Job, files: Sequence[SheetFile], plan: SheetPlan, wrong: LooksWrong) -> HeldForLooks:
    """Keep the evidence of sheets that do not look like their art; gives the error."""
    kept = evidence_of(files, plan)
    place = suspect_place(files, plan, wrong.places[0])
    if place is not None:
        kept = {f"fault_card-{place.number}_{place.page.side}.png": place_png(place), **kept}
    write_product(job.building, kept)
    odd: str | None = None
    try:
        refuse_if_readers_differ(plan)
    except ArtUnreadable as cause:
        odd = str(cause)
    return HeldForLooks(wrong.fault, tuple(kept), odd)


class _SheetCheck:
    """The check of finished sheets by sight, step by step in one thread.

    Of many kinds of sheet each is compared as soon as it is rendered, for all would not fit into memory. Where there is
    but one it is compared last, while others make their pictures of it.
    """

    def __init__(self, job: Job, plan: SheetPlan, files: tuple[SheetFile, ...]) -> None:
        self._plan, self._files = plan, files
        self._compares = job.read_back
        shows_cards = job.read_back or job.asks_first
        self._renderer = SheetRenderer(files, plan, with_cards=shows_cards)
        self._cards: dict[int, tuple[Rendered, ...]] = {}  # by kind of sheet
        self._is_overruled, self._found = job.order.overruled, list[str]()

    def begin(self, thread: ThreadPoolExecutor) -> DrawnSheets:
        """Start all steps; `thread` has one worker."""
        first, pages = thread.submit(self.at_cards, 0), thread.submit(self.at_pages)
        cards = first if len(self._plan.forms) == 1 else thread.submit(self.all_cards)
        preview: LatePicture | None = None
        if self._compares:
            pictured = thread.submit(lambda: preview_picture(pages.result(), len(self._plan.forms)))
            preview = LatePicture(size_px=preview_px(self._plan), picture=pictured.result)
        compared = thread.submit(self.compare, pages)
        return DrawnSheets(
            files=self._files,
            cards_seen=cards,
            preview=preview,
            compared=compared,
            is_overruled=self._is_overruled,
            found=self._found,
        )

    def at_cards(self, form: int) -> tuple[Rendered, ...]:
        """Render each card of a kind of sheet by itself, where that is wanted; once."""
        if form not in self._cards:
            self._cards[form] = self._renderer.cards(form)
        return self._cards[form]

    def all_cards(self) -> tuple[Rendered, ...]:
        """Render each card of all kinds of sheet by itself."""
        return tuple(chain.from_iterable(self.at_cards(form) for form in range(len(self._plan.forms))))

    def at_pages(self) -> tuple[Rendered, ...]:
        """Render all pages; those of the first kinds of sheet are kept."""
        if not self._compares:
            return ()
        each = self._compare if len(self._plan.forms) > 1 else None
        return self._renderer.pages(before=self.at_cards, each=each, kept=FORMS_SHOWN)

    def compare(self, pages: "Future[tuple[Rendered, ...]]") -> None:
        """Compare what was not compared when it was rendered."""
        seen = pages.result()
        if seen and len(self._plan.forms) == 1:
            self._compare(seen)

    def _compare(self, pages: tuple[Rendered, ...]) -> None:
        try:
            check_by_sight(pages, files=self._files, plan=self._plan)
        except LooksWrong as wrong:
            if not self._is_overruled:
                raise
            self._found.append(wrong.fault)
