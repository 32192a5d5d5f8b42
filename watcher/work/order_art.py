"""Open and check the art of one order; hold the order where the art cannot be printed as it is."""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from watcher.archive.repeat import common_name
from watcher.art.colour import made_for_press
from watcher.art.fit_words import CHANGES_ART
from watcher.art.model import CardFace
from watcher.art.opening import OpenedDesign, OpenedOrder, open_order
from watcher.errors import ArtUnreadable, OrderHeld
from watcher.inbox.formats import PDF, named_format
from watcher.inbox.inspection import read_member
from watcher.orders.both_sides import BESIDES
from watcher.orders.held_note import mark_of
from watcher.orders.model import OF_ALL, ArtSource
from watcher.settings.card import CardSettings
from watcher.settings.press_profile import NoPressProfile, PressProfile, read_press_profile
from watcher.settings.printer import PrinterSettings
from watcher.terms import Finding, Level, Side
from watcher.work.job import Job


class HeldByFindings(OrderHeld):
    """The checks of the art found something that a person must see first."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__(findings[0].message)
        self.findings = findings

    def __reduce__(self) -> tuple[type, tuple[tuple[Finding, ...]]]:
        return type(self), (self.findings,)

    @property
    def is_soft(self) -> bool:
        """Whether the person may accept it."""
        return all(finding.level is not Level.REFUSE for finding in self.findings)


@dataclass(frozen=True, kw_only=True)
class GoodArt:
    """The art of one order, opened and good enough to be printed.

    Attributes:
        sources: where it was, the front first.
        faces: how each lies on the card.
        findings: what is to be said of it all the same.
        designs: the faces of each design.
        card: the card as this art is read; see `art.reading.card_as_read`.
    """

    sources: tuple[ArtSource, ...]
    faces: tuple[CardFace, ...]
    findings: tuple[Finding, ...]
    designs: tuple[OpenedDesign, ...]
    card: CardSettings


def good_art(job: Job) -> GoodArt:
    """Open an order's art and check it.

    Raises:
        OrderHeld: it cannot be used, or not unless somebody accepts what was found.
    """
    art = checked_art(job)
    hold_back(art.findings, job)
    return art


def checked_art(job: Job, *, keep_common: bool = True) -> GoodArt:
    """Open an order's art and check it; what was found may be such that the order is to be held.

    Args:
        job: the order.
        keep_common: whether a copy of the art that all orders of the card share goes beside the order's own.

    Raises:
        OrderHeld: a file cannot be used.
    """
    opened = _opened(job, _common_art(job, keep=keep_common))
    return GoodArt(
        sources=tuple(source for source, _ in opened.used),
        faces=tuple(face for _, face in opened.used),
        findings=opened.findings,
        designs=opened.designs,
        card=opened.card,
    )


def _opened(job: Job, common: Sequence[ArtSource]) -> OpenedOrder:
    """Open the art: fitted, checked, and in the colours of the press where there is one."""
    profile = press_profile(job.settings.printer)

    def for_press(faces: Sequence[CardFace]) -> tuple[tuple[CardFace, ...], tuple[Finding, ...]]:
        return (tuple(faces), ()) if profile is None else made_for_press(faces, profile, job.settings.printer)

    read = Reading(job.folder).bytes_of
    return open_order(job.order.wanted_art, common, job.settings.card, job.settings.printer, read, for_press)


class Reading:
    """Reads the files of one folder; one of several pages is read once."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._of_pages: dict[tuple[str, str | None], bytes] = {}

    def bytes_of(self, source: ArtSource) -> bytes:
        """Read the bytes of one side's art, and compare them with their SHA-256.

        Raises:
            ArtUnreadable: it is no longer the file that was taken.
        """
        key = (source.file, source.member)
        if key in self._of_pages:
            return self._of_pages[key]
        path = self._folder / source.file
        data = path.read_bytes() if source.member is None else read_member(path, source.member)
        if hashlib.sha256(data).hexdigest() != source.sha256:
            raise ArtUnreadable(source.shown, "changed while it was being read", "Save it again and put it back")
        if source.page is not None:
            self._of_pages[key] = data
        return data


def _common_art(job: Job, *, keep: bool) -> list[ArtSource]:
    """Read the card's common art; `keep`: put a copy beside the order's own files."""
    sources = []
    for side, path in job.common:
        data = path.read_bytes()
        name = common_name(side, path.suffix) if keep else str(path)
        if keep:
            (job.folder / name).write_bytes(data)
        sources.append(_common_source(side, name, data))
    return sources


def _common_source(side: Side, file: str, data: bytes) -> ArtSource:
    page = 0 if named_format(file) is PDF else None
    return ArtSource(side=side, file=file, sha256=hashlib.sha256(data).hexdigest(), page=page, design=OF_ALL)


def press_profile(printer: PrinterSettings) -> PressProfile | None:
    """Read the colour profile of the printer's press; None where the settings name none.

    Raises:
        OrderHeld: it is not there, or is none.
    """
    if printer.output_profile is None:
        return None
    try:
        return read_press_profile(printer.output_profile)
    except NoPressProfile as fault:
        raise OrderHeld(
            f"The colour profile of {printer.name}, {printer.output_profile.name}, {fault}. Put it where it was, or "
            f"correct printers.{printer.name}.output_profile in the settings, and try again."
        ) from fault


def hold_back(findings: tuple[Finding, ...], job: Job) -> None:
    """Hold the order where a finding must be seen first, or cannot be accepted.

    What is soft is held later, with the picture of the card, where the customer is to see that anyway.

    Raises:
        HeldByFindings: that is so; it also tells what else would be done to the art.
    """
    grave = tuple(finding for finding in findings if finding.level in (Level.HOLD, Level.REFUSE))
    if any(_stops(finding, job) for finding in grave):
        gravest_first = sorted(grave, key=lambda finding: finding.level is not Level.REFUSE)
        raise HeldByFindings((*gravest_first, *besides(findings)))


def _stops(finding: Finding, job: Job) -> bool:
    """Whether the order is held for this; what was accepted with other numbers was not accepted."""
    if finding.level is Level.REFUSE:
        return True
    if job.order.accepted:
        return bool(job.order.seen) and mark_of(finding.message) not in job.order.seen
    return not job.asks_first


def besides(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Give what a yes would also do to the art: no reason to hold it, but whoever says yes should read it."""
    said = (finding for finding in findings if finding.code in CHANGES_ART)
    return tuple(replace(finding, message=BESIDES + finding.message) for finding in said)
