"""A model of a printer with a hand-fed tray, after what such machines do (from memory, no source).

It takes sheets from the top or the bottom of the pile in its tray, prints on their upper or lower face, pushes them out
as they are or turned over, each upon the last one; its driver sends pages as they are or the last one first.

Space is as in tests/align/turn/test_turning.py: z up out of the tray, the edge at +y goes in first; a sheet's own axes
are those of its first page as it is read.
"""

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from watcher.align.turn.advice import advise
from watcher.align.turn.turning import Face, Letter, TurnAnswers, find_turning
from watcher.layout.geometry import Size
from watcher.settings.printer import PrinterSettings
from watcher.terms import Duplex

LETTER_MM, CARD_MM = (215.9, 279.4), (186, 246)

X, Y, Z = (1, 0, 0), (0, 1, 0), (0, 0, 1)
EDGES = {"A": (0, 1, 0), "B": (1, 0, 0), "C": (0, -1, 0), "D": (-1, 0, 0)}


def half_turn(axis: tuple[int, int, int]) -> Any:
    """A rotation by 180 degrees about an axis (Rodrigues: 2 a a' - 1)."""
    unit = np.array(axis)
    return 2 * np.outer(unit, unit) - np.eye(3, dtype=int)


WAYS = {"as it lies": np.eye(3, dtype=int), "over sideways": half_turn(Y), "over endways": half_turn(X)}
WAYS |= {"end for end": half_turn(Z)}


@dataclass(eq=False)
class Sheet:
    """A sheet: how it lies, and what was printed on it with the axes of each page in its own."""

    lies: Any = field(default_factory=lambda: np.eye(3, dtype=int))
    prints: list[tuple[str, Any]] = field(default_factory=list)

    @property
    def front(self) -> Any:
        """The axes of the first page as the sheet lies now."""
        return self.lies @ self.prints[0][1]

    @property
    def names(self) -> list[str]:
        return [name for name, _ in self.prints]

    def edge(self, direction: tuple[int, int, int]) -> str:
        """The letter at the edge of the front that lies that way."""
        return next(letter for letter, edge in EDGES.items() if (self.front @ edge == direction).all())


@dataclass(frozen=True)
class Printer:
    """One machine with its driver; `lead` is the edge of every page that goes in first."""

    lead: str
    prints_on_top: bool
    turns_over_at_the_end: bool
    takes_from_top: bool
    sends_last_first: bool

    def page(self) -> Any:
        """The axes of a page as it is printed on a sheet in the tray."""
        faces = np.eye(3, dtype=int) if self.prints_on_top else half_turn(Y)
        quarter = np.array([[0, -1, 0], [1, 0, 0], [0, 0, 1]])
        turned = (np.linalg.matrix_power(quarter, n) @ faces for n in range(4))
        return next(page for page in turned if (page @ EDGES[self.lead] == Y).all())

    def print(self, job: Sequence[str], tray: list[Sheet]) -> list[Sheet]:
        """Print a job on the pile in the tray (bottom first); gives the pile that comes out."""
        out = []
        for name in job[::-1] if self.sends_last_first else job:
            sheet = tray.pop(-1 if self.takes_from_top else 0)
            sheet.prints.append((name, sheet.lies.T @ self.page()))
            if self.turns_over_at_the_end:
                sheet.lies = half_turn(X) @ sheet.lies
            out.append(sheet)
        return out

    def first_taken(self, tray: list[Sheet]) -> Sheet:
        return tray[-1 if self.takes_from_top else 0]


def put_back(pile: list[Sheet], way: Any) -> list[Sheet]:
    """A pile moved as one: turned over, what was on top lies at the bottom."""
    for sheet in pile:
        sheet.lies = way @ sheet.lies
    return pile[::-1] if (way @ Z)[2] < 0 else pile


def put_back_as_told(pile: list[Sheet], reload: str) -> list[Sheet]:
    """A pile laid back as the settings say: `printed side down, top edge first`."""
    face, edge = re.fullmatch(r"printed side (up|down), (top|right|bottom|left) edge first", reload).groups()
    letter = "ABCD"[("top", "right", "bottom", "left").index(edge)]
    front = pile[0].front
    (way,) = [
        way
        for way in WAYS.values()
        if (way @ front @ Z)[2] == (1 if face == "up" else -1) and (way @ front @ EDGES[letter] == Y).all()
    ]
    return put_back(pile, way)


PRINTERS = [Printer(*machine) for machine in itertools.product(EDGES, *[[True, False]] * 4)]


def what_the_turn_test_tells(printer: Printer, way: Any) -> PrinterSettings:
    """The settings after a turn test whose stack was put back this way."""
    tray = put_back(printer.print(["front 1", "front 2"], [Sheet(), Sheet()]), way)
    first = next(sheet for sheet in tray if sheet.names[0] == "front 1")
    face = Face.UP if (first.front @ Z)[2] > 0 else Face.DOWN
    stack_lead = first.edge(Y)
    printer.print(["back 1", "back 2"], tray)
    (_, front), (back_name, back) = first.prints
    answers = TurnAnswers(
        arrow=Letter(next(letter for letter, edge in EDGES.items() if (front @ edge == back @ Y).all())),
        one_face=bool((front @ Z == back @ Z).all()),
        stack_face=face,
        stack_lead=Letter(stack_lead),
        own_back=back_name == "back 1",
    )
    settings = PrinterSettings(name="office", flip="long-edge", duplex="manual")
    size = Size(*LETTER_MM)
    written = advise(find_turning(answers, size, Duplex.MANUAL), settings).write
    return PrinterSettings(**{"name": "office", "flip": "long-edge", "duplex": "manual", **written})
