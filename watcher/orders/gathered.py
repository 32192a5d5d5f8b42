"""What gathering works on and what it comes to, and what is collected meanwhile."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from watcher.inbox.found import Found
from watcher.inbox.inside import Inside
from watcher.inbox.scan import Identity, Scan, SeenFile, SeenFolder
from watcher.inbox.settle import Rested
from watcher.orders.model import GroupKey, Planned
from watcher.orders.pairing import Table
from watcher.orders.returned import ReturnedFolder
from watcher.settings.names import NameSettings

Insides = Mapping[Identity, "Inside | str"]  # what a ZIP, PDF or TIFF holds, or why it cannot be used


@dataclass(frozen=True, kw_only=True)
class ToGather:
    """Everything that may be part of an order.

    Attributes:
        scan: what lies in the inbox.
        rested: which of it has rested, and of the returned folders.
        returned: held orders that lie in the inbox again.
        held: folders in `held`.
        insides: of ZIP, PDF and TIFF files, as far as they are known.
        words: the side words.
        give_up_s: how long an incomplete file is waited for after its last change.
        overdue: returned folders that have been waited for long enough, although files of them are missing.
        moving_in_held: files in `held` that have not rested yet.
    """

    scan: Scan
    rested: Rested
    returned: tuple[ReturnedFolder, ...] = ()
    held: tuple[ReturnedFolder, ...] = ()
    insides: Insides = field(default_factory=dict)
    words: NameSettings
    give_up_s: float
    overdue: frozenset[Path] = frozenset()
    moving_in_held: frozenset[Path] = frozenset()


@dataclass(frozen=True, kw_only=True)
class Gathered:
    """Files, sorted.

    Attributes:
        table: what can be paired now.
        unusable: files that can be no order's, each with its reason, as orders that are to be held.
        to_look: ZIP, PDF and TIFF files whose inside must be inspected first.
        arriving: names of files that are still being written.
        containers: every ZIP, PDF and TIFF that lies there.
        left_alone: what lies in the inbox and is none of ours, with the reason.
        arriving_folders: orders in folders that have not rested yet.
    """

    table: Table
    unusable: tuple[Planned, ...]
    to_look: tuple[SeenFile, ...]
    arriving: tuple[str, ...]
    containers: frozenset[Identity]
    left_alone: tuple[str, ...]
    arriving_folders: tuple[SeenFolder, ...] = ()


@dataclass(kw_only=True)
class Gathering:
    """Collects files while they are sorted.

    Attributes:
        given: everything that may be part of an order; the others as in `Gathered` and `Table`.
    """

    given: ToGather
    found: list[Found] = field(default_factory=list)
    unusable: list[Planned] = field(default_factory=list)
    to_look: list[SeenFile] = field(default_factory=list)
    arriving: set[GroupKey] = field(default_factory=set)
    tickets_arriving: set[GroupKey] = field(default_factory=set)
    accepted: dict[GroupKey, tuple[str, ...]] = field(default_factory=dict)
    overruled: set[GroupKey] = field(default_factory=set)
    containers: set[Identity] = field(default_factory=set)
    left_alone: list[str] = field(default_factory=list)
    arriving_files: list[str] = field(default_factory=list)
    arriving_folders: list[SeenFolder] = field(default_factory=list)

    @property
    def words(self) -> NameSettings:
        """The side words."""
        return self.given.words

    def result(self) -> Gathered:
        """Everything collected."""
        return Gathered(
            table=Table(
                found=tuple(self.found),
                arriving=frozenset(self.arriving),
                tickets_arriving=frozenset(self.tickets_arriving),
                accepted=self.accepted,
                overruled=frozenset(self.overruled),
            ),
            unusable=tuple(self.unusable),
            to_look=tuple({file.path: file for file in self.to_look}.values()),
            arriving=tuple(self.arriving_files),
            containers=frozenset(self.containers),
            arriving_folders=tuple(self.arriving_folders),
            left_alone=tuple(self.left_alone),
        )
