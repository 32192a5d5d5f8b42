"""The task of inspecting a file whose inside must be known before it can be paired."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, kw_only=True)
class InspectFile:
    """Task: list what a ZIP holds, or count the pages of a PDF or TIFF."""

    path: Path
