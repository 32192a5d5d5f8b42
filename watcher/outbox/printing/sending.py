"""Carry jobs to their printers, row by row of `sending_life.LIFE`; each stage is noted before anything goes out."""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Protocol

from watcher.disk import remove_file
from watcher.outbox.printing import printer_calls as calls
from watcher.outbox.printing.contract import JobState, Printer
from watcher.outbox.printing.job_request import Wanted, name_at_printer, token_of
from watcher.outbox.printing.notes import PrintNotes
from watcher.outbox.printing.order_printing import SheetJob
from watcher.outbox.printing.printer_calls import Call, Outcome
from watcher.outbox.printing.printer_threads import PrinterThreads
from watcher.outbox.printing.sending_life import UNDER_WAY, Do, Event, If, JobStage, Rule, Then, rules_for
from watcher.outbox.printing.stacks import NotSent
from watcher.steps import PrintStep, reached

POLL_S = 2.0  # between two questions to a printer at work
RETRY_S = (2.0, 5.0, 10.0, 20.0, 30.0)  # between tries with one that is off or busy, ever longer

_BEFORE = {PrintStep.CREATED, PrintStep.TAKEN, PrintStep.RELEASED, PrintStep.ENDED}  # passed before the note is written


@dataclass(frozen=True, kw_only=True)
class Prepared:
    """What a job needs that is about to go out.

    Attributes:
        wanted: what is to be printed.
        file: the document, where nobody moves it.
        sha256: of the file of sheets that it is taken from.
        queue: the address that it goes to.
    """

    wanted: Wanted
    file: Path
    sha256: str
    queue: str


class Supplies(Protocol):
    """What the service gives to sending."""

    def connection(self, job: SheetJob) -> Callable[[], Printer]:
        """Give what connects to the printer of a job; NotSent where the settings have none."""
        ...

    def prepare(self, job: SheetJob) -> Prepared:
        """Put the document in its place; NotSent where that cannot be."""
        ...

    def before_document(self, job: SheetJob) -> None:
        """Leave word beside the sheets that they are being sent, before they are."""
        ...

    def lines_for(self, job: SheetJob) -> tuple[str, ...]:
        """Give what the log for people says of a job that has come to its end, or waits for something new."""
        ...


class Sending:
    """All jobs that are under way; one at a time for each printer.

    Args:
        notes: where each stage is written.
        threads: of the printers.
        supplies: the service.
        stamp: gives the time, ISO 8601.
    """

    def __init__(
        self, notes: PrintNotes, threads: PrinterThreads, supplies: Supplies, stamp: Callable[[], str]
    ) -> None:
        self._notes, self._threads, self._supplies, self._stamp = notes, threads, supplies, stamp
        self._prepared: dict[int, Prepared] = {}
        self._next_at: dict[int, float] = {}
        self._failed: dict[int, int] = {}  # how often in a row, by the job's number
        self._stuck: set[int] = set()  # jobs whose printer somebody must see to
        self._next: dict[int, Event] = {}
        self.jobs = {job.number: job for job in notes.jobs_under_way()}
        for job in self.jobs.values():
            self._next[job.number] = Event.TURN_CAME if job.stage is JobStage.WAITING else Event.LOST_TRACK

    # -- what the service asks -------------------------------------------------------------------------------------

    def add(self, jobs: list[SheetJob]) -> None:
        """Take up jobs that were just noted."""
        for job in jobs:
            self.jobs[job.number] = job
            self._next[job.number] = Event.TURN_CAME

    def withdraw(self, job: SheetJob) -> bool:
        """Take a wish back; whether that was in time: nothing of it had gone out."""
        if job.stage is not JobStage.WAITING or self._threads_has(job):
            return False
        self._happen(job, Outcome(event=Event.TAKEN_AWAY))
        return True

    def next_in(self, now: float) -> float | None:
        """Give the seconds until something is to be asked; None when a call must end first, or nothing is to do."""
        times = [
            self._next_at.get(job.number, now) - now
            for job in self._current()
            if not self._threads.is_busy(job.printer)
        ]
        return max(0.0, min(times)) if times else None

    @property
    def is_settled(self) -> bool:
        """Whether nothing moves: no job is under way, or all wait for somebody to see to their printer."""
        return not self._threads.any_busy and all(job.number in self._stuck for job in self._current())

    def step(self, now: float) -> bool:
        """Take in answers and ask the next questions; whether anything changed."""
        ended = self._threads.ended()
        for number, outcome in ended:
            job = self.jobs.get(number)
            if job is not None:
                self._happen(job, outcome)
        for job in self._current():
            if not self._threads.is_busy(job.printer) and self._next_at.get(job.number, now) <= now:
                self._happen(job, Outcome(event=self._next[job.number]))
        return bool(ended)

    def _current(self) -> list[SheetJob]:
        """The job of each printer that is its turn: the first that was asked for."""
        first: dict[str, SheetJob] = {}
        for number in sorted(self.jobs):
            first.setdefault(self.jobs[number].printer, self.jobs[number])
        return list(first.values())

    def _threads_has(self, job: SheetJob) -> bool:
        return self._threads.is_busy(job.printer) and job in self._current()

    # -- the table -------------------------------------------------------------------------------------------------

    def _happen(self, job: SheetJob, outcome: Outcome) -> None:
        rule = next(rule for rule in rules_for(job.stage, outcome.event) if _holds(rule.when, job, outcome))
        for step in rule.steps:
            if step in _BEFORE:
                reached(step)
        after = self._after(job, rule, outcome)
        if rule.do is Do.SEND:
            self._supplies.before_document(after)
        has_news = after.stage not in UNDER_WAY or after.says != job.says
        lines = self._supplies.lines_for(after) if has_news else ()
        if after != job:
            self._notes.write(jobs=(after,), lines=lines, since=self._stamp())
        for step in rule.steps:
            if step not in _BEFORE:
                reached(step)
        self.jobs[job.number] = after
        self._do(after, rule, outcome)

    def _after(self, job: SheetJob, rule: Rule, outcome: Outcome) -> SheetJob:
        """The job as it is noted: with its new stage, and what is known more."""
        stage = job.stage if isinstance(rule.then, Then) else rule.then
        changes = replace(job, stage=stage, says=job.says if rule.do in (Do.ASK, Do.FIND) else outcome.says)
        match rule.do:
            case Do.SEND:
                changes = replace(changes, job_id=outcome.job_id, held=outcome.held, says="")
            case Do.BEGIN_AGAIN:
                changes = replace(changes, times=job.times + 1, token="", job_id=0, held=False)
            case Do.CREATE:
                prepared = self._prepared[job.number]
                changes = replace(changes, sha256=prepared.sha256, queue=prepared.queue, says="")
                changes = replace(changes, token=token_of(changes))
            case Do.REFUSE:
                changes = replace(changes, says=outcome.says or _say_given_up(outcome))
            case Do.ASK_PERSON:
                changes = replace(changes, says=_say_unclear(outcome))
        if stage is not job.stage:
            changes = replace(changes, since=self._stamp())
        return changes

    def _do(self, job: SheetJob, rule: Rule, outcome: Outcome) -> None:
        number = job.number
        match rule.do:
            case Do.ASK:
                self._ask(job)
            case Do.CREATE:
                request = outcome.request
                assert request is not None
                request = replace(request, job_name=name_at_printer(self._prepared[number].wanted.order, job))
                self._call(job, partial(calls.create, request=request, name=job.printer))
            case Do.SEND:
                file = self._prepared[number].file
                self._call(job, partial(calls.send, job_id=job.job_id, file=file, held=job.held))
            case Do.RELEASE:
                self._call(job, partial(calls.release, job_id=job.job_id))
            case Do.FIND if outcome.says:  # a request has just broken off: the printer is given a moment
                self._later(job, Event.LOST_TRACK, self._delay(job))
            case Do.FIND:
                self._call(job, self._look(job))
            case Do.TAKE_BACK:
                self._call(job, partial(calls.take_back, job_id=job.job_id, token=job.token, sheets=job.sheets))
            case Do.FOLLOW:
                self._failed.pop(number, None)
                self._stuck.discard(number)
                if _is_stuck(outcome):
                    self._stuck.add(number)
                self._later(job, Event.LOST_TRACK, POLL_S)
            case Do.WAIT:
                self._stuck.add(number)
                self._later(job, self._next[number], self._delay(job))
            case Do.BEGIN_AGAIN:
                self._stuck.discard(number)
                self._later(job, Event.TURN_CAME, self._delay(job))
            case Do.RECORD | Do.REFUSE | Do.ASK_PERSON | Do.DROP:
                self._end(job)

    def _ask(self, job: SheetJob) -> None:
        try:
            prepared = self._prepared[job.number] = self._supplies.prepare(job)
            connect = self._supplies.connection(job)
        except NotSent as refused:
            self._happen(job, Outcome(event=Event.DIFFERS, says=str(refused)))
            return
        earlier = tuple(token_of(replace(job, sha256=prepared.sha256, times=times)) for times in range(1, job.times))
        name = name_at_printer(prepared.wanted.order, job)
        call = partial(calls.ask, wanted=prepared.wanted, job_name=name, earlier=earlier)
        self._next[job.number] = Event.TURN_CAME
        self._threads.start(job.printer, job.number, connect, call)

    def _look(self, job: SheetJob) -> Call:
        return partial(calls.find, job_id=job.job_id, token=job.token, sheets=job.sheets)

    def _call(self, job: SheetJob, call: Call) -> None:
        self._next[job.number] = Event.LOST_TRACK
        try:
            self._threads.start(job.printer, job.number, self._supplies.connection(job), call)
        except NotSent as refused:  # its queue was taken out of the settings meanwhile
            self._happen(job, Outcome(event=Event.NOT_NOW, says=str(refused)))

    def _delay(self, job: SheetJob) -> float:
        failed = self._failed[job.number] = self._failed.get(job.number, 0) + 1
        return RETRY_S[min(failed, len(RETRY_S)) - 1]

    def _later(self, job: SheetJob, event: Event, seconds: float) -> None:
        self._next[job.number], self._next_at[job.number] = event, time.monotonic() + seconds

    def _end(self, job: SheetJob) -> None:
        for kept in (self.jobs, self._next, self._next_at, self._failed):
            kept.pop(job.number, None)
        self._stuck.discard(job.number)
        prepared = self._prepared.pop(job.number, None)
        if prepared is not None:
            remove_file(prepared.file, missing_ok=True)


def _holds(when: If | None, job: SheetJob, outcome: Outcome) -> bool:
    found = outcome.found
    match when:
        case None:
            return True
        case If.WAS_HELD:
            return job.held
        case If.IS_HELD:
            return found is not None and found.state == JobState.HELD
        case If.IS_DONE:
            return found is not None and found.state.is_over and not calls.gave_up(found)
        case If.GAVE_UP_BLANK:
            return found is not None and calls.gave_up_blank(found)
        case If.GAVE_UP:
            return found is not None and calls.gave_up(found)


def _is_stuck(outcome: Outcome) -> bool:
    """Whether the printer has the job and does not print it: it is stopped, or has not come to it."""
    found = outcome.found
    return found is not None and found.state in (JobState.PENDING, JobState.HELD, JobState.STOPPED)


def _say_given_up(outcome: Outcome) -> str:
    words = "; ".join(outcome.found.reasons) if outcome.found else ""
    return "the printer ended the job and says that no sheet came out" + (f" ({words})" if words else "")


def _say_unclear(outcome: Outcome) -> str:
    found = outcome.found
    if found is None:
        return "the printer does not know the job any more"
    done = next((count for count in (found.sheets_done, found.sides_done) if count), None)
    came = "" if done is None else f", after {done} {'sheets' if found.sheets_done else 'sides'}"
    return f"the printer ended the job early{came}"
