"""Take complete orders out of the inbox: read it, decide which orders wait, and claim the others."""

import time
from collections.abc import Hashable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from watcher.archive.partner import made_before
from watcher.disk import sha256_of
from watcher.inbox.complete import Completeness
from watcher.inbox.formats import CONTAINER
from watcher.inbox.found import Found
from watcher.inbox.scan import Identity, SeenFile
from watcher.inbox.settle import Settling
from watcher.inbox.zip_members import MOST_TICKET_BYTES
from watcher.orders.gathered import Insides
from watcher.orders.inbox_reading import InboxQuery, InboxReading, read_inbox
from watcher.orders.late_side import join_made
from watcher.orders.mended import MadeBefore, newer_files
from watcher.orders.model import DESIGNS, GroupKey, Order, Planned
from watcher.orders.pairing import bundles
from watcher.orders.readings import group_key
from watcher.orders.returned import ReturnedFolder
from watcher.orders.say import inbox_of, waiting_line
from watcher.orders.waiting import Arrivals, Waiting
from watcher.records.plain_text import one_line
from watcher.service.claiming import Bundle, Claiming, PassOn
from watcher.service.queue import AT_ONCE, NEVER
from watcher.service.shop import Shop

# Bundles claimed between two readings of the inbox, so that thousands of orders do not pile up half taken; of very many
# a part of them, since a reading takes as long as there are files.
_AT_A_TIME, _PART = 128, 4
FULL_S = 30.0  # that what may not be all there rests: a folder of numbered pages, art that says no side


@dataclass(frozen=True, kw_only=True)
class TakingResult:
    """What was taken out of the inbox, and what stays.

    Attributes:
        taken: orders that were claimed; each is made or held next.
        to_look: files whose inside must be inspected first.
        waiting: what stays in the inbox and why, for people.
        left_alone: what is no order's, with the reason.
        present: the ZIP, PDF and TIFF files that lie there.
        resting_in_s: when a file that is resting now could be ready; None when none is.
        waiting_in_s: when the next lone half has waited long enough; None when none waits.
        more: more orders were complete than are claimed at once.
        blocked: an order waits for one of its name that is being made, or for the inside of a file.
        trouble: what kept a complete order from being taken, or None.
    """

    taken: tuple[Order, ...]
    to_look: tuple[SeenFile, ...]
    waiting: tuple[str, ...]
    left_alone: tuple[str, ...]
    present: frozenset[Identity] = frozenset()
    resting_in_s: float | None = None
    waiting_in_s: float | None = None
    more: bool = False
    blocked: bool = False
    trouble: str | None = None


class Taking:
    """Takes complete orders out of the inbox, and remembers how long the others have waited.

    Args:
        shop: settings and folders.
        once: whether this run waits for nothing: files that rested before it began count as rested.

    Attributes:
        claiming: claims the orders.
    """

    def __init__(self, shop: Shop, *, once: bool) -> None:
        self._shop, self._once = shop, once
        self._settling = Settling(shop.settings.service.quiet)
        self._settling_held = Settling(
            shop.settings.service.quiet, lambda _path: Completeness.WHOLE, lambda _path: False
        )
        self._waiting = Waiting()
        self.claiming = Claiming(shop)
        self._arrivals = Arrivals()
        self._seen_at: tuple[int, ...] = ()  # modification times of the folders when they were last read, ns

    def take(
        self,
        insides: Insides,
        busy: Iterable[GroupKey],
        now: float,
        before: str | None = None,
        pass_on: PassOn = lambda _orders, _more: None,
    ) -> TakingResult:
        """Read the inbox and claim the orders that are complete.

        Args:
            insides: of ZIP, PDF and TIFF files, as far as they are known.
            busy: orders of these names are being made; others of the same name wait for them.
            now: steady clock, s.
            before: claim only what is due before this date, because the queue is long; None: claim everything.
            pass_on: called with the orders just claimed, a few at a time, and whether more are still to be claimed.
                Repeats come last: what they repeat may have come with them.

        Raises:
            OSError: a folder is missing, full or may not be used; what had not been claimed stays where it is.
        """
        self._shop.roots.check()
        self._seen_at = self._changed_at()
        self.claiming.put_back_cut_short()
        reading = self._read(insides, now)
        gathered = reading.gathered
        plans = join_made(reading.plans, self._made_before, self._shop.settings, read_found)
        self._count_waiting(reading, [*plans, *gathered.unusable], now)
        busy_keys = set(busy)
        ready, waiting = self._part_ready([*plans, *gathered.unusable], busy_keys, now)
        late = (*gathered.arriving, *(folder.name for folder in gathered.arriving_folders))
        waiting += [f"{one_line(name)}: still arriving" for name in late]
        if before is not None:
            ready = [bundle for bundle in ready if _due(bundle) < before]
        at_a_time = max(_AT_A_TIME, len(ready) // _PART)
        chosen = sorted(ready[:at_a_time], key=_is_repeat)
        taken = self.claiming.claim(chosen, {file.path for file in reading.rested.moving}, pass_on)
        if taken:  # which changes the folders too
            self._seen_at = self._changed_at()
        return TakingResult(
            taken=taken,
            to_look=gathered.to_look,
            waiting=tuple(waiting),
            left_alone=gathered.left_alone,
            present=gathered.containers,
            resting_in_s=self._settling.next_look_in(now),
            waiting_in_s=self._next_to_wait_for(plans, now),
            more=len(ready) > at_a_time,
            blocked=bool(gathered.to_look) or any(_key(plan) in busy_keys for plan in plans),
            trouble=self.claiming.trouble,
        )

    def has_changed(self) -> bool:
        """Tell in a few microseconds whether a file has come or gone since `take` last read the inbox."""
        return self._changed_at() != self._seen_at

    def _changed_at(self) -> tuple[int, ...]:
        """Give when a name last came or went in the inbox and in the folder of each card, ns; POSIX, st_mtime."""
        folders = (self._shop.inbox, *(self._shop.inbox / card for card in self._shop.settings.cards))
        return tuple(_changed_at(folder) for folder in folders)

    def _read(self, insides: Insides, now: float) -> InboxReading:
        reading = read_inbox(
            InboxQuery(
                settings=self._shop.settings,
                insides=insides,
                settling=self._settling,
                content=read_found,
                now=now,
                wall_now=time.time() if self._once else None,
                settling_held=self._settling_held,
                waited_s=lambda path: self._waiting.waited(path, now),
            )
        )
        plans = (*reading.plans, *reading.gathered.unusable)
        self._shop.rebuilding.bring_forward(plan.repeat.order if plan.repeat else plan.name for plan in plans)
        return reading

    def _count_waiting(self, reading: InboxReading, plans: Iterable[Planned], now: float) -> None:
        """Note how long each order that lacks something, and each folder that came back, has waited by now."""
        self._arrivals.update(reading.rested, now)
        self._waiting.update(_ages(plans, reading.returned, self._arrivals, now), now)

    def _part_ready(self, plans: Iterable[Planned], busy: set[GroupKey], now: float) -> tuple[list[Bundle], list[str]]:
        """Give what may be claimed now, the most urgent first, and a line for each order that waits."""
        ready: list[Bundle] = []
        waiting: list[str] = []
        for bundle in bundles(plans):
            why = self._why_not_yet(bundle, busy, now)
            if why is None:
                ready.append(tuple(self._final(plan, now) for plan in bundle))
            else:
                waiting += why
        return sorted(ready, key=_by_due_then_arrival), waiting

    def _next_to_wait_for(self, plans: Iterable[Planned], now: float) -> float | None:
        """Give the seconds until the next order has waited long enough; None when none waits."""
        limits = [self._shop.settings.service.wait_for_other_side]
        if any((plan.open_ended and plan.came_in) or plan.unsaid for plan in plans):
            limits.append(min(limits[0], FULL_S))
        times = (self._waiting.next_after(limit_s, now) for limit_s in limits)
        return min((time_s for time_s in times if time_s is not None), default=None)

    def _made_before(self, key: GroupKey) -> MadeBefore | None:
        return made_before(key, self._shop.journal.finished_named(key[1]), self._shop.archive, time.time())

    def _why_not_yet(self, bundle: Bundle, busy: set[GroupKey], now: float) -> list[str] | None:
        """Say why a bundle stays in the inbox, a line for each order; None when it is to be claimed now."""
        if any(plan.arriving for plan in bundle):
            return [waiting_line(replace(plan, arriving=True)) for plan in bundle]
        if any(_key(plan) in busy for plan in bundle):
            return [f"{one_line(plan.name)}: an order of this name is on its way" for plan in bundle]
        if any(plan.waits_for and not self._waited_enough(plan, now) for plan in bundle):
            return [waiting_line(plan) for plan in bundle]
        if any(plan.unsaid and not self._has_rested_long(plan, now) for plan in bundle):
            return [waiting_line(plan) for plan in bundle]
        if any(file.path.suffix[1:].lower() == CONTAINER for plan in bundle for file in plan.files):
            return None  # a ZIP is complete in itself: a half in it is held and finds its other side later
        unsure = [plan for plan in bundle if (plan.missing or plan.open_ended) and not plan.fault]
        missing = [plan for plan in unsure if not self._waited_enough(plan, now)]
        return [waiting_line(plan) for plan in missing] or None

    def _waited_enough(self, plan: Planned, now: float) -> bool:
        if plan.missing == "art" and self._shop.journal.finished_named(plan.key):
            return True  # a job ticket that came after its order was made
        limit_s = self._shop.settings.service.wait_for_other_side
        if plan.open_ended and plan.came_in and not plan.missing:
            limit_s = min(limit_s, FULL_S)
        return self._waiting.waited(_wait_key(plan), now) >= limit_s

    def _has_rested_long(self, plan: Planned, now: float) -> bool:
        """Whether what goes with art that says no side, and would tell it, has had time to come."""
        limit_s = min(self._shop.settings.service.wait_for_other_side, FULL_S)
        return self._once or self._waiting.waited(_wait_key(plan), now) >= limit_s

    def _final(self, plan: Planned, now: float) -> Planned:
        """Give a plan that is claimed although something is missing a fault that says so."""
        if plan.fault or not plan.missing:
            return plan
        return replace(plan, fault=self._why_incomplete(plan, self._waiting.waited(_wait_key(plan), now)))

    def _why_incomplete(self, plan: Planned, waited_s: float) -> str:
        file = plan.files[0]
        if plan.missing == "art":
            made = self._shop.journal.finished_named(plan.key)
            if made:
                return (
                    f"The job ticket {file.name} came after its order was made: {made[0].folder} ({made[0].says})."
                    " To have it made again, put the art beside the ticket."
                )
            waited = _minutes(waited_s)
            return (
                f"The job ticket {file.name} has waited {waited} for its art. Put the art into {inbox_of(plan.folder)}."
            )
        if plan.missing == DESIGNS:
            return (
                f"Of the designs of {plan.name}, {plan.lacks}."
                f" Put what is missing into {inbox_of(plan.folder)}, named like the others."
            )
        if file.path.suffix[1:].lower() == CONTAINER:
            return f"{file.name} holds no {plan.missing} for {plan.name}. {plan.hint}"
        return f"{file.name} has waited {_minutes(waited_s)} for its {plan.missing}. {plan.hint}"


def _changed_at(folder: Path) -> int:
    try:
        return folder.stat().st_mtime_ns
    except OSError:  # not there, or not now
        return 0


def _key(plan: Planned) -> GroupKey:
    return group_key(plan.folder, plan.key)


def _wait_key(plan: Planned) -> Hashable:
    """Give the key of an order that waits; when more designs or mended art come it changes: the wait begins anew."""
    if plan.waits_for:
        return _key(plan), tuple(file.identity for file in newer_files(plan))
    if plan.open_ended or plan.missing == DESIGNS:
        return _key(plan), len(plan.files)
    return _key(plan)


def read_found(found: Found) -> bytes:
    """Give the text of a job ticket, or the SHA-256 of art, by which copies are known. No ZIP is opened here."""
    if found.text is not None:
        return found.text
    if found.member is not None:
        return found.member.text if found.member.text is not None else bytes.fromhex(found.member.sha256)
    if not found.is_ticket:
        return bytes.fromhex(sha256_of(found.file.path))
    with found.file.path.open("rb") as file:
        return file.read(MOST_TICKET_BYTES + 1)


def _ages(
    plans: Iterable[Planned], returned: Iterable[ReturnedFolder], arrivals: Arrivals, now: float
) -> dict[Hashable, float]:
    """Give what waits, each with the age of its youngest file, s."""
    ages: dict[Hashable, float] = {}
    for plan in plans:
        if plan.missing or plan.open_ended or plan.waits_for or plan.unsaid:
            files = newer_files(plan) or plan.files
            ages[_wait_key(plan)] = min(arrivals.age(file.identity, now) for file in files)
    for folder in returned:
        ages[folder.path] = min((arrivals.age(file.identity, now) for file in folder.files), default=0.0)
    return ages


def _by_due_then_arrival(bundle: Bundle) -> tuple[str, int]:
    return _due(bundle), min((file.identity.ctime_ns for plan in bundle for file in plan.files), default=0)


def _is_repeat(bundle: Bundle) -> bool:
    return any(plan.repeat is not None for plan in bundle)


def _due(bundle: Bundle) -> str:
    if any(plan.wishes.now for plan in bundle):
        return AT_ONCE
    return min((plan.wishes.due.isoformat() for plan in bundle if plan.wishes.due), default=NEVER)


def _minutes(seconds: float) -> str:
    if seconds < 90:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.0f} h"
