"""The tasks of a worker for orders that may share sheets, and its answers."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from watcher.work.answer import Answer
from watcher.work.job import Job


@dataclass(frozen=True, kw_only=True)
class Examination:
    """Task: open and check the art of an order as if it were made; nothing is made but a held order's picture."""

    job: Job

    @property
    def building(self) -> Path:
        """Where the picture of a held order goes."""
        return self.job.building


@dataclass(frozen=True, kw_only=True)
class Examined:
    """The order can be made."""


@dataclass(frozen=True, kw_only=True)
class RunJob:
    """Task: make a run of those of these orders that save sheets by it.

    Attributes:
        jobs: the job of each order as if it were made singly; `building` counts for nothing here.
        numbers: the taking number of each, by its name.
        run: name of the run's folder.
        building: where it is built.
        date: the day printed on the sheets, ISO 8601.
    """

    jobs: tuple[Job, ...]
    numbers: Mapping[str, int]
    run: str
    building: Path
    date: str


@dataclass(frozen=True, kw_only=True)
class RunMade:
    """A finished run in its building folder.

    Attributes:
        words: for each of its orders, by name: the count for people. Empty when sharing saves no sheet; then nothing
            was made.
        sheets: of the run.
        single_sheets: what all of its orders would take singly.
        product: the size of each of its files, bytes, by name.
    """

    words: Mapping[str, str]
    sheets: int = 0
    single_sheets: int = 0
    product: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class RunSpoiled:
    """No run was made, since the art of one order cannot be used; `answer` is the one to that order."""

    order: str
    answer: Answer
