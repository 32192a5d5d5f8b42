"""Say what is true of front and back once, for people; machines are told of each side."""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from watcher.terms import Finding, Level, Side

_NAME = re.compile(r".+?\.(?:png|jpe?g|jfif|tiff?|webp|pdf|zip)(?![^\s])(?! (?:in|of) )", re.IGNORECASE)
BESIDES = "Besides: "  # before what is said of art that something graver keeps from being made
_MOST_COMPARED = 400  # signs in which a sentence names its file


@dataclass(frozen=True, kw_only=True)
class SaidOfSides:
    """A finding as people are told it: `sides` it is about; none where it is about the order."""

    finding: Finding
    sides: tuple[Side, ...]

    @property
    def where(self) -> str:
        """The sides for people: `front and back`; empty for the order."""
        return " and ".join(self.sides)


def said_of_sides(findings: Sequence[Finding]) -> tuple[SaidOfSides, ...]:
    """Put what was found of front and back alike into one entry, at the place of the first."""
    return tuple(_together(findings))


def _together(findings: Sequence[Finding]) -> Iterator[SaidOfSides]:
    told: set[int] = set()
    pairs = _pairs(findings)
    for at, finding in enumerate(findings):
        if at in told:
            continue
        other = pairs.get(at)
        if other is None:
            yield SaidOfSides(finding=finding, sides=(finding.side,) if finding.side else ())
        else:
            told.add(other)
            message = _of_both(finding.message, findings[other].message)
            yield SaidOfSides(finding=replace(finding, message=message, side=None), sides=(Side.FRONT, Side.BACK))


def _pairs(findings: Sequence[Finding]) -> Mapping[int, int]:
    """The places of findings of one kind, one about the front and one about the back, from the first to the other."""
    alike: defaultdict[tuple[str, Level], list[int]] = defaultdict(list)
    for at, finding in enumerate(findings):
        if finding.side is not None:
            alike[finding.code, finding.level].append(at)
    two = (places for places in alike.values() if len(places) == 2)
    return {first: other for first, other in two if findings[first].side is not findings[other].side}


def _of_both(one: str, other: str) -> str:
    names = _named(one), _named(other)
    if names[0] and names[1] and one.replace(names[0], "\0") == other.replace(names[1], "\0"):
        return one if names[0] == names[1] else f"{one} The same goes for {names[1]}."
    return f"{one} {other}"


def _named(message: str) -> str:
    """The file that a sentence begins with; empty for none."""
    found = _NAME.match(message[:_MOST_COMPARED].removeprefix(BESIDES))
    return found[0] if found else ""
