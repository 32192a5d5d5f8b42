"""`printing.txt` in an order's folder: what was sent of it, what became of that, and what is to be done next.

It is for people, and it tells a rename of a person from one that a sync program brings again: that one comes without
the file, or with an older one.
"""

from pathlib import Path

from watcher.disk import remove_file, status_of_file, write_durably
from watcher.orders.quantity import counted
from watcher.outbox.printing.order_printing import BY_HAND, OrderPrinting, Part, SheetJob
from watcher.outbox.printing.sending_life import JobStage
from watcher.records.plain_text import one_line

RECORD_NAME = "printing.txt"
_LARGEST = 1 << 20
_TOLD = {
    JobStage.SENDING: "sent",
    JobStage.RELEASING: "sent",
    JobStage.PRINTING: "sent",
    JobStage.PRINTED: "printed",
    JobStage.PERHAPS: "perhaps printed",
    JobStage.NOT_PRINTED: "not printed",
}


def what_of(job: SheetJob) -> str:
    """Say what a job prints: `26 sheets`, `the fronts of 26 sheets`."""
    sheets = counted(job.sheets, "sheet")
    return sheets if job.side is Part.ALL else f"the {job.side} of {sheets}"


def record_text(printing: OrderPrinting) -> str:
    """Give the text for an order; empty where nothing of it was ever sent or refused."""
    note = printing.note
    lines = [_line(job, told_above=note.says) for job in printing.jobs if job.stage in _TOLD]
    told = [text for text in (note.says and f"Not printed. {note.says}", note.look_at) if text]
    if not (lines or told):
        return ""
    return "\n\n".join([*told, *(["\n".join(lines)] if lines else [])]) + "\n"


def _line(job: SheetJob, told_above: str) -> str:
    by = "printed by hand" if job.printer == BY_HAND else f"{job.printer}: {_TOLD[job.stage]}"
    is_told = job.stage in (JobStage.PERHAPS, JobStage.NOT_PRINTED) and job.says and job.says != told_above
    why = f" ({one_line(job.says)})" if is_told else ""
    token = f"   [{job.token}]" if job.token else ""
    return f"{job.since[:16].replace('T', ' ')}  {what_of(job)}, {by}{why}{token}"


def read_record(folder: Path) -> str | None:
    """Give what the file in a folder says; None where there is none."""
    file = folder / RECORD_NAME
    try:
        return None if status_of_file(file, _LARGEST) is None else file.read_text("utf-8", errors="replace")
    except OSError:
        return None


def write_record(folder: Path, text: str) -> None:
    """Write the file, or remove it where there is nothing to say."""
    if text:
        write_durably(folder / RECORD_NAME, text.encode("utf-8"))
    else:
        remove_file(folder / RECORD_NAME, missing_ok=True)


def what_to_look_at(order: str, jobs: tuple[SheetJob, ...]) -> str:
    """Say what a person is to look at where nobody can know what came to paper, and how to answer from a phone."""
    return " ".join(_look(order, job) for job in jobs)


def _look(order: str, job: SheetJob) -> str:
    if job.side is Part.FRONTS:
        all_there = f"All are there: rename the folder to {order} fronts printed."
        answers = f"{all_there} Else take away those that came: {order} print."
    else:
        some = f"So many are there, say {job.sheets}: rename the folder to {order} printed {job.sheets}."
        answers = f"{some} None is there: {order} print."
    return (
        f"Perhaps printed: {what_of(job)}, sent to {job.printer} on {job.since[:16].replace('T', ' at ')}"
        f" ({one_line(job.says)}). Look into its output tray, and at its display for a job that ends in {job.token}."
        f" {answers}"
    )
