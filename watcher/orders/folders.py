"""Read folders that are orders: `inbox/spring-menu x50/` with art in it, and the empty `again spring-menu x40`."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import tomli_w

from watcher.errors import ArtUnreadable
from watcher.inbox.file_names import read_extension
from watcher.inbox.formats import ART_KINDS, CONTAINER, HAVE_AN_INSIDE, TICKET
from watcher.inbox.found import Earlier, Folder, Found
from watcher.inbox.inside import Inside
from watcher.inbox.names import read_folder_name
from watcher.inbox.scan import Identity, SeenFile, SeenFolder
from watcher.inbox.unpack import unfold_folder
from watcher.orders.held_note import FILE_NAME, WHY_NAME, ends_in_yes
from watcher.orders.usable import TAKEN, why_unusable
from watcher.records.plain_text import one_line
from watcher.settings.names import NameSettings

AGAIN_TICKET = f"again.{TICKET}"  # what is written into an empty folder, so that there is something to be taken

_GAP = r"[\s_.\-:]+"
_AGAIN = re.compile(rf"\A(?:again|repeat){_GAP}(?P<after>.+)\Z|\A(?P<before>.+?){_GAP}again\Z", re.IGNORECASE)
_NUMBERS = r"[0-9]{1,4}(?:(?:\s*[,&+]\s*|\s*-\s*|[\s_.]+(?:and[\s_.]+)?)[0-9]{1,4})*"
_ONLY = re.compile(rf"{_GAP}only{_GAP}(?P<numbers>{_NUMBERS})\Z", re.IGNORECASE)
_SHEETS = re.compile(rf"{_GAP}(?P<sheets>[0-9]{{1,5}})\s?sheets?\Z", re.IGNORECASE)
_BARE_ONLY = re.compile(rf"{_GAP}only\Z", re.IGNORECASE)
_RUN = re.compile(r"([0-9]+)\s*-\s*([0-9]+)")
_MOST_IN_A_RUN = 500


@dataclass(frozen=True, kw_only=True)
class Read:
    """What a folder comes to.

    Attributes:
        found: the usable things in it; empty where one of the others says why not.
        to_look: files whose inside must be inspected first.
        fault: why it can be no order as it is, as a whole sentence; None when it can.
        is_arriving: something of it is still being written, or must be inspected.
    """

    found: tuple[Found, ...] = ()
    to_look: tuple[SeenFile, ...] = ()
    fault: str | None = None
    is_arriving: bool = False


def is_folder_of_repeat(found: Found) -> bool:
    """Whether a find is an empty folder that asks for a repeat: a file must be written into it before it is taken."""
    return found.text is not None and found.container is not None and found.file.path == found.container.path


def is_order(folder: SeenFolder, words: NameSettings) -> bool:
    """Whether a folder that was never held is an order: with art or a ticket in it, or asked for again by its name."""
    if folder.has_held_toml or folder.strange or _may_be_held(folder):
        return False
    if any(read_extension(name) in _KINDS_OF_ORDER for name, _ in folder.files):
        return True
    return not (folder.files or folder.unfinished or folder.unfetched) and again_ticket(folder.name, words) is not None


def _may_be_held(folder: SeenFolder) -> bool:
    """Whether it looks like a held order that a slow sync brings back, its note last."""
    return ends_in_yes(folder.name) or any(name == WHY_NAME for name, _ in folder.files)


def why_no_order(folder: SeenFolder) -> str:
    """Say why a folder is left alone, and what to do."""
    name = one_line(folder.name)
    if folder.strange:
        what = one_line(folder.strange[0])
        return (
            f"{name}: there is a folder or a link in it ({what}). Put the files of each order straight into a folder of"
            " its own"
        )
    if folder.files and _may_be_held(folder):
        return (
            f"{name}: {FILE_NAME} of a held order has not come into this folder. If it does not come, put the art in it"
            " into the inbox itself, and delete the folder"
        )
    if folder.unfinished or folder.unfetched:
        return f"{name}: a folder whose files are still arriving"
    if folder.files:
        return f"{name}: a folder that is no card's, without art in it. Put {TAKEN} into it, or take it away"
    return (
        f'{name}: an empty folder. Put a front and a back into it; for an order of before again, call it "again {name}"'
    )


_KINDS_OF_ORDER = ART_KINDS | {CONTAINER, TICKET}


def read_folder(
    folder: Folder,
    files: Sequence[SeenFile],
    insides: Mapping[Identity, "Inside | str"],
    words: NameSettings,
    earlier: Callable[[SeenFile], Earlier | None] = lambda _file: None,
) -> Read:
    """Read a folder all of whose files are there.

    Args:
        folder: which one, and the name that says what is wanted.
        files: the ordinary files in it, but for our own.
        insides: of ZIP, PDF and TIFF files, as far as they are known.
        words: the side words.
        earlier: tells of a file where it lies, when it came with an earlier try at the order.
    """
    text = again_ticket(folder.name, words)
    if text is not None and all(file.name == AGAIN_TICKET for file in files):
        return Read(found=(_repeat(folder, files, text, words, earlier),))
    for file in files:
        why = why_unusable(file)
        if why:
            return Read(fault=f"{one_line(folder.name)} holds {file.name}, which {why}.")
    with_inside = [file for file in files if read_extension(file.name) in HAVE_AN_INSIDE]
    to_look = tuple(file for file in with_inside if file.identity not in insides)
    if to_look:
        return Read(to_look=to_look, is_arriving=True)
    known = {file.identity: insides[file.identity] for file in with_inside}
    refused = next((inside for inside in known.values() if isinstance(inside, str)), None)
    if refused is not None:
        return Read(fault=refused)
    read = [(file, inside if isinstance(inside := known.get(file.identity), Inside) else None) for file in files]
    try:
        found = unfold_folder(folder, read, words)
    except ArtUnreadable as error:
        return Read(fault=str(error))
    return Read(found=tuple(replace(one, earlier=earlier(one.file)) for one in found))


def _repeat(
    folder: Folder,
    files: Sequence[SeenFile],
    text: bytes,
    words: NameSettings,
    earlier: Callable[[SeenFile], Earlier | None],
) -> Found:
    """The job ticket that a folder's name says: in place of the file that stands for it, or of the empty folder."""
    parts = replace(read_folder_name(folder.name, words).at_its_end, extension=TICKET, side=None)
    if files:
        return Found(file=files[0], parts=parts, container=folder, text=text, earlier=earlier(files[0]))
    identity = Identity.of(folder.path.lstat())
    itself = SeenFile(path=folder.path, folder=None, name=folder.name, identity=identity)
    return Found(file=itself, parts=parts, container=folder, text=text)


def asks_again(name: str) -> bool:
    """Whether a folder's name begins or ends as one that asks for a repeat."""
    return _AGAIN.match(name.strip()) is not None


def again_ticket(name: str, words: NameSettings) -> bytes | None:
    """Give the job ticket that the name of an empty folder says: `again ORDER`, with `only 17` or `2 sheets`.

    Quantity and due date stand in the name, and are read there. None where the name asks for nothing again.
    """
    parts = read_folder_name(name, words).at_its_end
    asked = _AGAIN.match(parts.order)
    if asked is None or parts.side is not None:
        return None
    order = asked["after"] or asked["before"]
    ticket: dict[str, object] = {}
    if only := _ONLY.search(order):
        ticket["only"], order = _numbers(only["numbers"]), order[: only.start()]
    elif sheets := _SHEETS.search(order):
        ticket["sheets_only"], order = int(sheets["sheets"]), order[: sheets.start()]
    elif parts.quantity and (bare := _BARE_ONLY.search(order)):  # `only 17 cards`
        order = order[: bare.start()]
    return tomli_w.dumps({"repeat": one_line(order.strip()), **ticket}).encode() if order.strip() else None


def _numbers(said: str) -> list[int]:
    """The numbers in `3, 17` or `3-5`."""
    numbers: list[int] = []
    for first, last in _RUN.findall(said):
        numbers += range(int(first), min(int(last), int(first) + _MOST_IN_A_RUN) + 1)
    return sorted({*numbers, *map(int, re.findall(r"[0-9]+", _RUN.sub(" ", said)))})
