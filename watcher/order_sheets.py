"""The sheets of an order, drawn, and read again in numbers and by sight while the rest of the order is made.

The sheets are looked at in a thread of its own: the renderer works outside of Python. Until it is done nothing else of
this process may use the renderer, for it knows no threads.
"""

from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial

from watcher.job import HeldForFault, Job
from watcher.outbox.preview import FORMS_SHOWN
from watcher.outbox.product import write_product
from watcher.sheet.draw import SheetFile, draw_sheets
from watcher.sheet.evidence import evidence_of
from watcher.sheet.plan import SheetPlan
from watcher.sheet.read_alike import refuse_what_readers_see_differently
from watcher.sheet.read_back import SheetWrong, read_back
from watcher.sheet.render import NOT_RENDERED, SheetPictures, render_sheets
from watcher.sheet.render_check import check_by_sight


@dataclass(frozen=True, kw_only=True)
class DrawnSheets:
    """The finished files of an order.

    Attributes:
        files: them; read again in numbers.
        rendered: what all pictures show, once it is there.
        compared: is done when the check by sight is.
    """

    files: tuple[SheetFile, ...]
    rendered: "Future[SheetPictures]"
    compared: "Future[None]"

    @property
    def pictures(self) -> SheetPictures:
        """The one rendering of them that all pictures show; waits for it.

        Raises:
            SheetWrong: they are not as planned.
        """
        return self.rendered.result()

    def finish(self) -> None:
        """Wait until they have been looked at.

        Raises:
            SheetWrong: they are not as planned.
        """
        self.compared.result()


@contextmanager
def drawn_sheets(job: Job, plan: SheetPlan) -> Iterator[DrawnSheets]:
    """Draw the sheets, and look at them while the rest is made; nothing is made when it is left by an error.

    Without the check by sight nothing is rendered, unless the customer is to see the card.

    Raises:
        HeldForFault: they are not as planned; the evidence lies in the order's building folder.
    """
    files = draw_sheets(plan)
    with ThreadPoolExecutor(1) as eye:
        rendered = eye.submit(_render, job, plan, files)
        compared = eye.submit(_compare, job, plan, files, rendered)
        drawn = DrawnSheets(files=files, rendered=rendered, compared=compared)
        try:
            read_back(files, plan)
            yield drawn
            drawn.finish()
        except SheetWrong as wrong:
            wait([compared])
            refuse_what_readers_see_differently(plan)
            kept = evidence_of(files, plan)
            write_product(job.building, kept)
            raise HeldForFault(wrong.fault, tuple(kept)) from wrong


def is_to_be_asked(job: Job) -> bool:
    """Whether the customer is to see the card first."""
    return job.approve and not job.accepted


def _render(job: Job, plan: SheetPlan, files: tuple[SheetFile, ...]) -> SheetPictures:
    """The pictures of the sheets; many kinds are compared one by one, for they would not fit into memory together."""
    if not job.read_back and not is_to_be_asked(job):
        return NOT_RENDERED
    compare = partial(check_by_sight, files=files, plan=plan) if job.read_back and len(plan.forms) > 1 else None
    return render_sheets(files, plan, each=compare, kept=FORMS_SHOWN)


def _compare(job: Job, plan: SheetPlan, files: tuple[SheetFile, ...], rendered: "Future[SheetPictures]") -> None:
    """Sheets of one kind are compared when their pictures are there, while others make what they need of them."""
    pictures = rendered.result()
    if job.read_back and len(plan.forms) == 1:
        check_by_sight(pictures, files=files, plan=plan)
