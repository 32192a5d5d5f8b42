"""Put together what the ticket of an order tells: what was decided, which files are printed how, and what it cost."""

from watcher import __version__
from watcher.archive.effective_settings import EffectiveSettings
from watcher.archive.order_ticket import Decided
from watcher.archive.ticket_file import PrintFile
from watcher.art.small_picture import small_picture_of
from watcher.layout.model import CutPlan
from watcher.orders.cost import Cost, cost_of
from watcher.orders.quantity import SheetCount
from watcher.settings.papers import media_name
from watcher.sheet.draw.plan import SheetPlan, planned_files
from watcher.terms import ONE_SIDED, Copies, Finding
from watcher.work.job import Job
from watcher.work.order_art import GoodArt

CHECK_OVERRULED = "check-overruled"
SOFTWARE = f"print-folder-watcher {__version__}"


def decided(
    job: Job, art: GoodArt, plan: SheetPlan, *, count: SheetCount, cuts: CutPlan | None, findings: tuple[Finding, ...]
) -> Decided:
    """Give what the ticket of an order tells, whether it has its sheets for itself or shares them.

    Args:
        job: the order, with its card as the settings have it: a repeat reads its art anew.
        art: what it was made from.
        plan: its sheets.
        count: how many of them, for its cards.
        cuts: how they are parted.
        findings: all that was said of it.
    """
    return Decided(
        folder=job.name,
        order=job.order,
        settings=job.settings,
        count=count,
        layout=plan.layout,
        faces=art.faces,
        sources=art.sources,
        findings=findings,
        made_at=job.made_at,
        software=SOFTWARE,
        order_sha256=job.order_sha256,
        cuts=cuts,
        repeat_of=job.repeat_of,
        sheets_only=job.sheets_only,
        overruled=any(finding.code == CHECK_OVERRULED for finding in findings),
        profile_sha256=plan.profile_sha256,
        printing=print_files(job.name, plan),
        backs_order=plan.order_of_backs,
        small_picture=small_picture_of(art.faces[0], art.card.opened_out),
        cost=sheets_cost(job.settings, plan),
    )


def sheets_cost(settings: EffectiveSettings, plan: SheetPlan) -> Cost | None:
    """Give what the paper and the print of sheets cost; None where no price is known."""
    sides = 2 if plan.two_sided else 1
    price, click = settings.sheet.price, settings.printer.click
    return cost_of(plan.sheets, sides, price=price, click=click, money=settings.money)


def print_files(name: str, plan: SheetPlan) -> tuple[PrintFile, ...]:
    """Give how each file of sheets is printed, in the order of printing.

    Args:
        name: of the folder, with which the files' names begin.
        plan: the sheets.
    """
    return tuple(
        PrintFile(
            file=f"{name}_{file.suffix}.pdf",
            copies=plan.forms[file.forms[0]].sheets if plan.copies is Copies.ONCE else 1,
            sides=plan.dialog_flip.sides if plan.dialog_flip and len(file.sides) > 1 else ONE_SIDED,
            media=media_name(plan.layout.sheet),
        )
        for file in planned_files(plan)
    )
