"""Papers, trays and rims in words: for people, and as lines of the settings."""

from collections.abc import Iterable
from fractions import Fraction

from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.media import SAME_SIZE_MM, Media
from watcher.records.plain_text import one_line
from watcher.settings.papers import paper_name
from watcher.settings.values import show_exact_length
from watcher.units import show_size

MOST_LISTED = 12


def lying(ready: Iterable[Media]) -> str:
    """What lies in a printer, for people: `letter (215.9 x 279.4 mm, cardstock) in main`."""
    said = []
    for one in ready:
        size = size_words(one.size) if one.size else "paper of an unknown size"
        kind = f", {one_line(one.kind)}" if one.kind else ""
        place = f" in {one_line(one.source)}" if one.source else ""
        said.append(f"{size}{kind}{place}")
    return "; ".join(said[:MOST_LISTED]) or "nothing that it tells"


def size_words(size: Size) -> str:
    """A sheet by name and size: `letter (215.9 x 279.4 mm)`."""
    name = paper_name(size, SAME_SIZE_MM)
    shown = show_size(size.width, size.height)
    return f"{name} ({shown})" if name else shown


def known_sizes(sheets: Iterable[Media]) -> str:
    """The sizes that a printer knows, each once."""
    said = []
    for one in sheets:
        if one.size and one.up_to:
            least, most = show_size(one.size.width, one.size.height), show_size(one.up_to.width, one.up_to.height)
            said.append(f"{least} to {most}")
        elif one.size:
            said.append(paper_name(one.size, SAME_SIZE_MM) or show_size(one.size.width, one.size.height))
    names = list(dict.fromkeys(said))
    more = f" and {len(names) - MOST_LISTED} more" if len(names) > MOST_LISTED else ""
    return ", ".join(names[:MOST_LISTED]) + more


def listed(names: Iterable[str], between: str = ", ") -> str:
    """Words of a printer, in quotes."""
    return between.join(f'"{one_line(name)}"' for name in list(names)[:MOST_LISTED])


def rim_line(rim: Margins) -> str:
    """A rim as the settings have it: `["4.23 mm", "3 mm", "4.23 mm", "3 mm"]`, or one length where all are the same."""
    edges = [f'"{show_exact_length(edge, edge)}"' for edge in edges_of(rim)]
    return edges[0] if len(set(edges)) == 1 else f"[{', '.join(edges)}]"


def edges_of(rim: Margins) -> tuple[Fraction, ...]:
    """Top, right, bottom and left, mm."""
    return rim.top, rim.right, rim.bottom, rim.left
